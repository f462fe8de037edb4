import {
  aside,
  ask,
  but,
  check,
  choose,
  type Draft,
  decide,
  finish,
  goTo,
  hold,
  type Micro,
  micro,
  observe,
  type ProcedureText,
  perform,
  press,
  prohibit,
  record,
  repeat,
  say,
  section,
  set,
  together,
  verify,
  wait,
  waitFor,
  watch,
  when,
} from "./micro.js";

/** A step as plain data, so that a failing case can be printed and cut down: verb, what it is about, lists of inner steps. */
export interface StepSpec {
  readonly verb: string;
  readonly of?: string;
  readonly lists?: readonly (readonly StepSpec[])[];
  readonly ways?: readonly (string | undefined)[];
  readonly lit?: readonly string[];
  readonly count?: string;
  readonly keys?: readonly string[];
  readonly number?: number;
  readonly until?: string;
  readonly moves?: readonly string[];
  readonly id?: string;
  readonly needs?: string;
  readonly applies?: string;
}

export interface ProcedureSpec {
  readonly begins: readonly string[];
  readonly ends: readonly string[];
  readonly covers: readonly string[];
  readonly steps: readonly StepSpec[];
  readonly next?: string;
}

export interface WorldSpec {
  readonly lines: readonly string[];
  readonly procedures: Readonly<Record<string, ProcedureSpec>>;
}

/** The spec as a program; throws where a cut has taken away what something else names. */
export function worldFrom(spec: WorldSpec): Micro {
  const { p, ...others } = spec.procedures;
  const texts = Object.fromEntries(Object.entries(others).map(([id, one]) => [id, textOf(one)]));
  return micro(spec.lines.join("\n"), textOf(p!), texts);
}

function textOf(spec: ProcedureSpec): ProcedureText {
  return {
    begins: spec.begins,
    ends: spec.ends,
    covers: spec.covers,
    steps: spec.steps.map(draft),
    ...(spec.next ? { next: spec.next } : {}),
  };
}

function draft(spec: StepSpec): Draft {
  const of = spec.of ?? "";
  const lists = (spec.lists ?? []).map((list) => list.map(draft));
  const [first = [], second = []] = lists;
  const bare = (): Draft => {
    switch (spec.verb) {
      case "set":
        return set(of);
      case "verify":
        return verify(of);
      case "verify-at-once":
        return verify(of, true);
      case "check":
        return check(of, first);
      case "observe":
        return observe(of, spec.lit ?? [], {
          ...(spec.count ? { count: spec.count } : {}),
          ifNot: Object.fromEntries((spec.keys ?? []).map((key, index) => [key, lists[index] ?? []])),
        });
      case "press":
        return press(of, spec.number ?? 1);
      case "hold":
        return hold(of, first, spec.number);
      case "hold-up-to":
        return hold(of, first, spec.number, true);
      case "wait":
        return wait(spec.number ?? 10);
      case "wait-for":
        return waitFor(of, {
          while: first,
          ...(spec.number === undefined ? {} : { within: spec.number, ifNot: second }),
        });
      case "if":
        return when(of, first, second);
      case "decide":
        return decide(...lists.map((list, index) => [spec.ways?.[index], list] as const));
      case "choose":
        return choose(...lists);
      case "repeat":
        return repeat(first, {
          ...(spec.until ? { until: spec.until } : {}),
          ...(spec.number ? { times: spec.number } : {}),
          moves: spec.moves ?? [],
        });
      case "ask":
        return ask(of.split(" ")[0]!, of.split(" ")[1]!);
      case "together":
        return together(...lists);
      case "section":
        return section(...first);
      case "watch":
        return watch(of, first);
      case "prohibit":
        return prohibit(of, spec.until);
      case "perform":
        return perform(of);
      case "go-to":
        return goTo(of);
      case "record":
        return record(of);
      case "finish":
        return finish();
      case "set-aside":
        return aside();
      case "say":
        return say();
      default:
        throw new Error(`no verb ${spec.verb}`);
    }
  };
  wellFormed(spec);
  const { id, needs, applies } = spec;
  return but(bare(), { ...(id ? { id } : {}), ...(needs ? { needs } : {}), ...(applies ? { applies } : {}) });
}

/** What the language asks of a step's shape; the generator keeps to it, and cuts must. */
function wellFormed(spec: StepSpec): void {
  const empty = (slot: number) => (spec.lists?.[slot]?.length ?? 0) === 0;
  const wrong =
    (spec.verb === "repeat" && (empty(0) || (spec.until === undefined && spec.number === undefined))) ||
    (["check", "watch", "section"].includes(spec.verb) && empty(0)) ||
    (spec.verb === "wait-for" && spec.number !== undefined && empty(1)) ||
    (spec.verb === "wait-for" && spec.number === undefined && !empty(1));
  if (wrong) throw new Error(`not a step: ${JSON.stringify(spec)}`);
}

/** A source of numbers that are the same for the same seed (mulberry32). */
export class Dice {
  #state: number;

  constructor(seed: number) {
    this.#state = seed >>> 0;
  }

  /** Between 0 and 1. */
  roll(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let t = this.#state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  }

  chance(part: number): boolean {
    return this.roll() < part;
  }

  /** From `low` to `high`, both included. */
  number(low: number, high: number): number {
    return low + Math.floor(this.roll() * (high - low + 1));
  }

  pick<T>(list: readonly T[]): T {
    return list[Math.floor(this.roll() * list.length)]!;
  }
}

/** A random small world, its card and its rules. The same seed gives the same world. */
export function randomWorld(seed: number): WorldSpec {
  return new Maker(new Dice(seed)).make();
}

class Maker {
  readonly #dice: Dice;
  readonly #lines: string[] = [];
  readonly #controls: { id: string; positions: string[]; sprung: string[]; fitted: boolean }[] = [];
  readonly #states: { id: string; states: string[] }[] = [];
  readonly #equipment: { id: string; states: string[] }[] = [];
  readonly #outside: { id: string; states: string[] }[] = [];
  readonly #lights: string[] = [];
  readonly #colours = new Map<string, string>();
  readonly #gauges: string[] = [];
  readonly #ids: string[] = [];
  readonly #tank: boolean;
  #named = false;
  readonly #holding: string[] = [];
  /** What this seed is about; all of it at once would leave every part thin. */
  readonly #theme: "plain" | "time" | "lights" | "lanes" | "gauges" | "flow";

  constructor(dice: Dice) {
    this.#dice = dice;
    this.#theme = dice.pick(["plain", "time", "lights", "lanes", "gauges", "flow"] as const);
    this.#tank = dice.chance(0.15);
  }

  make(): WorldSpec {
    this.#declare();
    const dice = this.#dice;
    const performs = this.#theme === "flow" && dice.chance(0.5);
    const other = performs ? this.#procedure(dice.number(1, 2), 1) : undefined;
    const own = this.#procedure(dice.number(2, this.#theme === "lanes" ? 2 : 4), 2, other ? "o" : undefined);
    const rules = this.#rules(dice.number(1, 3)).map((rule) => this.#inTime(rule));
    return { lines: [...this.#lines, ...rules], procedures: { p: own, ...(other ? { o: other } : {}) } };
  }

  #declare(): void {
    const dice = this.#dice;
    if (this.#tank) {
      this.#lines.push("fit tank: yes no");
      if (dice.chance(0.5)) this.#lines.push("fleet A: tank=yes", "fleet B: tank=no");
    }
    for (let index = 0; index < dice.number(1, 3); index++) this.#control(`c${index}`);
    if (dice.chance(0.3)) this.#sided();
    const pieces =
      this.#theme === "plain" ? dice.number(0, 2) : this.#theme === "lights" ? dice.number(0, 1) : dice.number(1, 2);
    for (let index = 0; index < pieces; index++) {
      const states = ["x", "y", "z"].slice(0, dice.number(2, 3));
      this.#equipment.push({ id: `e${index}`, states });
      this.#states.push({ id: `e${index}`, states });
    }
    if (dice.chance(0.3)) {
      const hidden = dice.chance(0.4) ? ", hidden" : "";
      this.#lines.push(`sig o: no yes${hidden}`);
      this.#outside.push({ id: "o", states: ["no", "yes"] });
      this.#states.push({ id: "o", states: ["no", "yes"] });
    }
    if (this.#theme === "gauges")
      for (let index = 0; index < dice.number(1, 2); index++) {
        this.#gauges.push(`g${index}`);
        const range = dice.chance(0.3) ? " 0 to 100" : "";
        const moves = dice.chance(0.4) ? `, moves ${dice.chance(0.5) ? "true" : this.#handle()}` : "";
        this.#lines.push(`gauge g${index}:${range}${moves}`);
      }
    for (const { id, states } of this.#equipment) {
      const changes = Array.from({ length: dice.number(1, 3) }, () => this.#change(id, states));
      this.#lines.push(`eq ${id}: ${states.join(" ")}; ${changes.join("; ")}${dice.chance(0.25) ? ", hidden" : ""}`);
    }
    if (dice.chance(0.4)) {
      this.#lines.push(`condition dc: ${this.#condition(1, false)}`);
      this.#named = true;
    }
    const lights = this.#theme === "lights" ? dice.number(1, 3) : dice.chance(0.3) ? 1 : 0;
    for (let index = 0; index < lights; index++) this.#light(`l${index}`);
    if (this.#lights.length > 0) this.#lines.push(`lights panel: ${this.#lights.join(" ")}`);
  }

  #control(id: string): void {
    const dice = this.#dice;
    const positions = dice.chance(0.3) ? ["off", "on", "top"] : ["off", "on"];
    const sprung = dice.chance(0.3) ? [positions.at(-1)!] : [];
    const guard = sprung.length === 0 && dice.chance(0.2) ? `, guard ${dice.pick(positions)}` : "";
    const springs = sprung
      .map((from) => `, springs ${from}>${dice.pick(positions.filter((to) => to !== from))}`)
      .join("");
    const duty =
      sprung.length > 0 && dice.chance(0.2)
        ? `, duty ${dice.pick(["10", ""])}/${dice.pick(["20", ""])}/${dice.pick(["2", ""])}`
        : "";
    const fitted = this.#tank && dice.chance(0.3) ? ", fitted tank is yes" : "";
    this.#lines.push(`ctl ${id}: ${positions.join(" ")}${guard}${springs}${duty}${fitted}`);
    this.#controls.push({ id, positions, sprung, fitted: fitted === "" });
    this.#states.push({ id, states: positions });
    if (guard) {
      this.#controls.push({ id: `${id}.guard`, positions: ["closed", "open"], sprung: [], fitted: true });
      this.#states.push({ id: `${id}.guard`, states: ["closed", "open"] });
    }
  }

  #sided(): void {
    for (const side of ["left", "right"]) {
      const id = `p.${side}`;
      this.#lines.push(`ctl ${id}: off on`);
      this.#controls.push({ id, positions: ["off", "on"], sprung: [], fitted: true });
      this.#states.push({ id, states: ["off", "on"] });
    }
  }

  #change(id: string, states: readonly string[]): string {
    const dice = this.#dice;
    const from = dice.pick(states);
    const to = dice.pick(states.filter((state) => state !== from));
    const delayed = dice.chance(this.#theme === "time" ? 0.6 : 0.3);
    const when = !delayed || dice.chance(0.6) ? ` when ${this.#without(id)}` : "";
    const times = dice.pick(["10", "20", "10..20", "20..30"]);
    return `${from}>${to}${when}${delayed ? ` takes ${times}` : ""}`;
  }

  /** A condition on anything but the piece of equipment itself. */
  #without(id: string): string {
    for (let tries = 0; tries < 10; tries++) {
      const condition = this.#condition(1, false);
      if (!condition.includes(id)) return condition;
    }
    return this.#handle();
  }

  #light(id: string): void {
    const dice = this.#dice;
    const colour = dice.pick(["red", "amber"]);
    const parts = [this.#condition(1, false)];
    if (dice.chance(0.1)) parts.push(`flashing ${this.#handle()}`);
    if (dice.chance(0.15)) parts.push(`latched-until ${this.#handle()}`);
    if (dice.chance(0.15)) parts.push(`cancelled-by ${this.#handle()}`);
    const logic = dice.chance(0.08) ? "" : `: ${parts.join("; ")}`;
    this.#lines.push(`light ${colour} ${id}${logic}`);
    this.#lights.push(id);
    if (logic) this.#colours.set(id, colour);
  }

  #handle(): string {
    const { id, positions } = this.#dice.pick(this.#controls);
    return `${id} is ${this.#dice.chance(0.2) ? "not " : ""}${this.#dice.pick(positions)}`;
  }

  #condition(depth: number, inSteps = true): string {
    for (;;) {
      const text = this.#anyCondition(depth, inSteps);
      if (!isLightsEitherWay(text)) return text;
    }
  }

  #anyCondition(depth: number, inSteps: boolean): string {
    const dice = this.#dice;
    if (depth > 0 && dice.chance(0.35)) {
      const word = dice.pick(["and", "or"]);
      return `(${this.#condition(depth - 1, inSteps)} ${word} ${this.#condition(depth - 1, inSteps)})`;
    }
    if (depth > 0 && dice.chance(0.1)) return `not (${this.#condition(depth - 1, inSteps)})`;
    if (this.#gauges.length > 0 && dice.chance(0.5)) return this.#comparison();
    if (inSteps && this.#named && dice.chance(0.15)) return "dc";
    if (inSteps && this.#colours.size > 0 && dice.chance(0.15))
      return `${dice.pick([...this.#colours.keys()])} is ${dice.pick(["lit", "out"])}`;
    if (inSteps && this.#ids.length > 0 && dice.chance(0.1)) return `done ${dice.pick(this.#ids)}`;
    if (dice.chance(0.08) && this.#controls.some(({ id }) => id === "p.left"))
      return `${dice.pick(["all", "any"])} p is ${dice.pick(["off", "on"])}`;
    const { id, states } = dice.pick(this.#states);
    return `${id} is ${dice.chance(0.15) ? "not " : ""}${dice.pick(states)}`;
  }

  #comparison(): string {
    const dice = this.#dice;
    const left = dice.pick(this.#gauges);
    const other = this.#gauges.find((gauge) => gauge !== left);
    const right = other && dice.chance(0.5) ? other : dice.pick(["10", "50"]);
    return `${left} ${dice.pick(["<", "<=", ">", ">=", "="])} ${right}`;
  }

  #procedure(steps: number, depth: number, performs?: string): ProcedureSpec {
    const dice = this.#dice;
    const begins = Array.from({ length: dice.number(0, 2) }, () => this.#condition(0, false));
    const list = this.#steps(steps, depth);
    if (performs) list.splice(dice.number(0, list.length), 0, { verb: "perform", of: performs });
    const ends = dice.chance(0.4) ? [this.#condition(1)] : [];
    const covers = this.#lights.length > 0 && dice.chance(0.2) ? ["panel"] : [];
    const next = performs && dice.chance(0.3) ? { next: performs } : {};
    return { begins, ends, covers, steps: list, ...next };
  }

  #steps(number: number, depth: number): StepSpec[] {
    return Array.from({ length: number }, () => this.#step(depth));
  }

  #step(depth: number): StepSpec {
    const dice = this.#dice;
    const spec = this.#verb(depth);
    const id = dice.chance(0.15) ? `s${this.#ids.length + 1}` : undefined;
    if (id) this.#ids.push(id);
    const needs = dice.chance(0.04) ? this.#condition(0) : undefined;
    const applies = this.#tank && dice.chance(0.15) ? "tank is yes" : undefined;
    return { ...spec, ...(id ? { id } : {}), ...(needs ? { needs } : {}), ...(applies ? { applies } : {}) };
  }

  #verb(depth: number): StepSpec {
    const dice = this.#dice;
    const inner = (most = 2) => this.#steps(dice.number(1, most), depth - 1);
    if (this.#controls.length === this.#holding.length) return { verb: "say" };
    const leaf: (() => StepSpec)[] = [
      () => ({ verb: "set", of: this.#moves(true) }),
      () => ({ verb: "set", of: this.#moves(true) }),
      () => ({ verb: "verify", of: this.#moves(false) }),
      () => ({ verb: dice.pick(["say", "verify-at-once"]), of: this.#moves(false) }),
    ];
    if (this.#sprung().length > 0) leaf.push(() => ({ verb: "press", of: this.#held(), number: dice.number(1, 2) }));
    if (this.#outside.length > 0) leaf.push(() => ({ verb: "ask", of: `o ${dice.pick(["no", "yes"])}` }));
    if (this.#theme === "time")
      leaf.push(
        () => ({ verb: "wait", number: dice.pick([10, 20, 30]) }),
        () => ({ verb: "wait", number: dice.pick([10, 20]) }),
      );
    if (this.#lights.length > 0) leaf.push(() => this.#observe(depth));
    if (this.#theme === "lights")
      leaf.push(
        () => this.#observe(depth),
        () => this.#observe(depth),
      );
    if (this.#gauges.length > 0) leaf.push(() => ({ verb: "record", of: dice.pick(this.#gauges) }));
    if (depth === 0) return dice.pick(leaf)();
    const nested: (() => StepSpec)[] = [
      () => ({ verb: "check", of: this.#condition(1), lists: [this.#failing(depth)] }),
      () => ({ verb: "check", of: this.#condition(1), lists: [this.#failing(depth)] }),
      () => ({ verb: "if", of: this.#condition(1), lists: [inner(), dice.chance(0.4) ? inner(1) : []] }),
      () => ({ verb: "if", of: this.#condition(1), lists: [inner(), dice.chance(0.4) ? inner(1) : []] }),
      () => ({ verb: "choose", lists: [inner(1), inner(1)] }),
      () => ({
        verb: "decide",
        ways: [this.#condition(0), dice.chance(0.6) ? undefined : this.#condition(0)],
        lists: [inner(1), inner(1)],
      }),
      () => ({ verb: "section", lists: [inner()] }),
      () => this.#waitFor(depth),
      () => this.#repeat(depth),
    ];
    if (this.#sprung().length > 0) nested.push(() => this.#hold(depth));
    if (dice.chance(0.25))
      nested.push(
        () => ({
          verb: "prohibit",
          of: this.#condition(0),
          ...(dice.chance(0.3) ? { until: this.#condition(0) } : {}),
        }),
        () => ({ verb: "watch", of: this.#condition(0), lists: [this.#failing(depth)] }),
      );
    if (this.#theme === "lanes" && depth === 2) return { verb: "together", lists: [this.#lane(), this.#lane()] };
    return dice.chance(0.55) ? dice.pick(leaf)() : dice.pick(nested)();
  }

  /** A lane's steps; no lane is split again. */
  #lane(): StepSpec[] {
    return this.#steps(this.#dice.number(1, 3), 1);
  }

  #failing(depth: number): StepSpec[] {
    const dice = this.#dice;
    if (dice.chance(0.5) || depth === 0) return [{ verb: "set-aside" }];
    const steps = this.#steps(1, depth - 1);
    return dice.chance(0.5) ? steps : [...steps, { verb: dice.chance(0.8) ? "set-aside" : "finish" }];
  }

  #waitFor(depth: number): StepSpec {
    const dice = this.#dice;
    const within = dice.chance(0.5);
    const lists = [dice.chance(0.2) ? this.#steps(1, 0) : [], ...(within ? [this.#failing(depth)] : [])];
    return { verb: "wait-for", of: this.#condition(0), lists, ...(within ? { number: dice.pick([10, 30]) } : {}) };
  }

  #repeat(depth: number): StepSpec {
    const dice = this.#dice;
    const lists = [this.#steps(dice.number(1, 2), depth - 1)];
    if (dice.chance(0.3)) return { verb: "repeat", number: dice.number(1, 3), lists };
    const moves = this.#gauges.filter(() => dice.chance(0.7));
    return { verb: "repeat", until: this.#condition(0), lists, moves };
  }

  #observe(depth: number): StepSpec {
    const dice = this.#dice;
    const lit = this.#lights.flatMap((light) =>
      dice.chance(0.5) ? [dice.chance(0.3) ? `${light} when ${this.#condition(0, false)}` : light] : [],
    );
    const count = dice.chance(0.3) ? `${dice.pick(["red", "amber"])} ${dice.number(0, 2)}` : undefined;
    const keys = depth > 0 && dice.chance(0.3) ? [dice.pick(["*", this.#lights[0]!])] : [];
    const lists = keys.map(() => this.#failing(depth));
    return { verb: "observe", of: this.#lights.join(" "), lit, keys, lists, ...(count ? { count } : {}) };
  }

  #hold(depth: number): StepSpec {
    const dice = this.#dice;
    const of = this.#held();
    this.#holding.push(of.split(" ")[0]!);
    const lists = [dice.chance(0.6) ? this.#steps(dice.number(1, 2), depth - 1) : []];
    this.#holding.pop();
    const time = dice.chance(0.4) ? { number: dice.pick([10, 20]) } : {};
    return { verb: dice.pick(["hold", "hold-up-to"]), of, lists, ...time };
  }

  #sprung() {
    return this.#controls.filter(({ id, sprung }) => sprung.length > 0 && !this.#holding.includes(id));
  }

  #held(): string {
    const { id, sprung } = this.#dice.pick(this.#sprung());
    return `${id} ${this.#dice.pick(sprung)}`;
  }

  /** No control twice in one step, and none that the step is inside a hold of. */
  #moves(mayChoose: boolean): string {
    const dice = this.#dice;
    const free = this.#controls.filter(({ id }) => !this.#holding.includes(id));
    const used = new Set<string>();
    const one = (): string => {
      const { id, positions, sprung } = dice.pick(free);
      const family = id.split(".")[0]!;
      if (used.has(family)) return "";
      used.add(family);
      const settable = positions.filter((position) => !sprung.includes(position));
      if (id.startsWith("p.") && dice.chance(0.4))
        return `${mayChoose && dice.chance(0.4) ? "either " : ""}p ${dice.pick(settable)}`;
      return `${id} ${dice.pick(settable)}`;
    };
    return Array.from({ length: dice.chance(0.75) ? 1 : 2 }, one)
      .filter((move) => move !== "")
      .join(", ");
  }

  #rules(number: number): string[] {
    return Array.from({ length: number }, (_, index) => `rule r${index}: ${this.#rule()}`);
  }

  /** What is owed may be owed within a time as well. */
  #inTime(rule: string): string {
    if (!rule.includes(" no-later-than ") || !this.#dice.chance(0.5)) return rule;
    return `${rule} within ${this.#dice.pick([10, 20, 30])}`;
  }

  #rule(): string {
    const dice = this.#dice;
    const c = () => this.#condition(1);
    const p = () => (dice.chance(0.3) ? `checked (${this.#condition(1, dice.chance(0.5))})` : c());
    const timed = () =>
      this.#theme === "time" && dice.chance(0.5) ? `(${this.#condition(0)}) for ${dice.pick([10, 20])}` : p();
    const forms = [
      () => `never ${c()}`,
      () => `always ${c()}`,
      () => `require ${timed()} when ${c()}`,
      () => `require ${p()} while ${c()}`,
      () => `require ${timed()} before ${c()}`,
      () => `require ${p()} after ${c()} no-later-than ${dice.chance(0.5) ? "end" : c()}`,
      () => `require ${p()} no-later-than end`,
      () => `at-most ${dice.number(1, 2)} times ${c()}`,
    ];
    const scope = dice.chance(0.25) ? ` only-after ${this.#condition(0)}` : "";
    const until = dice.chance(0.2) ? ` only-until ${this.#condition(0)}` : "";
    const applies = this.#tank && dice.chance(0.2) ? " applies tank is yes" : "";
    return dice.pick(forms)() + scope + until + applies;
  }
}

/** A check of lights alone is asserted light by light; which of two lights an `or` of them misses is nobody's to say. */
function isLightsEitherWay(text: string): boolean {
  const rest = text.replace(/\bl\d is (?:not )?(?:lit|out)/g, "");
  return rest !== text && /\b(or|not)\b/.test(rest) && !/ is |[<>=]|\bdc\b|\bdone\b/.test(rest);
}
