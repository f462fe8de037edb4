import type { Condition } from "../../src/program/condition.js";
import type { Procedure, Step } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import type { Rule } from "../../src/program/rule.js";
import type { Tail } from "../../src/program/system.js";
import { type Explored, explore } from "./explore.js";
import { neverEnds, waitsForEver } from "./liveness.js";
import { alreadySo, coverQuestion, dutyQuestion, noQuestion, prohibitQuestion, ruleQuestion } from "./questions.js";
import { startStates } from "./settle.js";
import { blocksOf, doneNamed, everyStep, spell, thingsNamed } from "./text.js";
import type { Listener, Question } from "./walk.js";
import { buildWorld, deepAtoms, holds, isFitted, isLit, type State, type World } from "./world.js";

/**
 * A plain interpreter of the meaning of a procedure: it walks the steps as they are written, one concrete state after another,
 * over every start, every interleaving, every delayed change and every tick. It is slow and small, and shares with the
 * prover nothing but the data types of the program, so that the two can be held against each other.
 *
 * Where the page of semantics leaves a choice, this is how it reads it:
 * - A set to where the control stands already is an act (and a moment) all the same.
 * - A wait, the time of a `hold ... for T` and of `every` have each a moment when they begin and one when they are over; ticks
 *   are moments for the rules, without adding to the length of a trace.
 * - `needs`, and the begins of a perform, are judged when the step begins, from any state of the pause before it.
 * - A wait is not for ever where a finding that ends the path can be come to from it.
 * - `say`, `do`, `sign`, `record`, `pause`, `prohibit`, `watch` and sections are no acts unless `done` is asked of them.
 * - `decide` is one look. By the letter, `decide` and `wait-for` make nothing known; case conditions of listed lights do.
 * - Closing a guard makes the guard and the control under it known; so does opening it by force (`guard/closed`).
 * - Known ends, too, for a named condition or a light that is made of a gauge when that gauge moves.
 * - A delayed change that fires restarts the clocks of its equipment even if the settling brings that back; an immediate
 *   change to and fro within one settling does not.
 * - A conflict in single firings goes to the one written first, as in rounds.
 * - `done` of a hold, wait-for or repeat with inner steps comes with a mark after it; without, at the release or the end.
 * - A scope that is open does not open again; a reopened one forgets.
 * - What is seen includes `done` only of the steps that something asks it of.
 * - A watch may be answered by the main line, in a `together` by either lane.
 * - A rule broken by a gauge's own move is reported (as information) only if no step can break it; it counts as violated.
 * - A counted repeat always ends; `never-ends` is of those with an `until`.
 * - What a rule owes at a good end is blamed on the last act's step, at a set-aside on that.
 * - None of the never reached is told that stands, in the text, after a finding that ends a path.
 * - `no-later-than: end` is judged at the last act's moment, before any pause, at a good end; at any moment of a set-aside.
 * - What never comes about (never reached, never taken, no effect) in a performed procedure is told by its own run alone.
 * - Never reached is told of the first step of a stretch; not inside an if-not that is itself never taken, nor in a watch.
 */
export interface OracleFinding {
  readonly code: string;
  /** The step's name; `(begins)` before the first, `(end)` after the last. */
  readonly step: string;
  readonly rule?: string;
  /** A light, a control, a promise: what the finding is about beside the step. */
  readonly thing?: string;
  readonly severity: "error" | "warning" | "info";
  /** Moments of the shortest trace after moment 0. */
  readonly moments: number;
  /** Steps at which it can happen with as few moments; the text's order decides. */
  readonly ties: readonly string[];
  /** Other steps at which it can happen first. */
  readonly also: readonly string[];
  readonly tails: readonly string[];
}

export interface OracleReport {
  readonly findings: readonly OracleFinding[];
  /** Rule to verdict; a break by a gauge's own move is one too. */
  readonly verdicts: ReadonlyMap<string, "holds" | "violated">;
  /** Rules that cannot be broken here because nothing that they wait for changes. */
  readonly idle: readonly string[];
  readonly tails: readonly string[];
  readonly configurations: number;
}

export interface OracleOptions {
  /** Configurations of one search; beyond it `TooLarge` is thrown. */
  readonly limit?: number;
  /** For rules only: neither findings of the base search nor coverage. */
  readonly rulesOnly?: boolean;
}

/** Every finding about one procedure, by walking through all that can happen. */
export function interpret(program: Program, procedure: Procedure, options: OracleOptions = {}): OracleReport {
  const system = program.systems.get(procedure.system)!;
  const report = new Report(program, procedure, options.limit ?? 200_000);
  for (const tail of system.tails) report.tail(tail, options.rulesOnly ?? false);
  const performed = new Map<string, OracleReport>();
  for (const step of everyStep(procedure.steps))
    if (step.kind === "perform" && step.target.kind === "procedure" && !performed.has(step.target.id)) {
      const own = program.procedures.get(step.target.id);
      if (own) performed.set(step.target.id, interpret(program, own, options));
    }
  const own = new Set(["(begins)", "(end)", ...[...ownSteps(procedure.steps)].map((step) => step.name)]);
  return withoutRepeats(report.finish(), own, performed);
}

/** What a performed procedure's own run reports at a step of its own is not repeated, even where it can come about later too. */
function withoutRepeats(
  report: OracleReport,
  own: ReadonlySet<string>,
  performed: ReadonlyMap<string, OracleReport>,
): OracleReport {
  const repeated = (finding: OracleFinding, step: string): boolean =>
    !own.has(step) &&
    [...performed].some(([id, report]) =>
      report.findings.some(
        (other) =>
          other.code === finding.code &&
          other.rule === finding.rule &&
          (finding.rule !== undefined || finding.code === "flow/waits-for-ever" || other.thing === finding.thing) &&
          [other.step, ...other.also].some((name) => step === name || step === `${id}:${name}`),
      ),
    );
  return { ...report, findings: report.findings.filter((finding) => !repeated(finding, finding.step)) };
}

/** Findings after which a path goes no further. */
export const PATH_ENDS = ["flow/needs", "flow/begins", "flow/gap", "system/never-settles"];

interface Entry {
  readonly code: string;
  readonly rule: string | undefined;
  readonly thing: string | undefined;
  /** Step name to the fewest moments. */
  readonly steps: Map<string, number>;
  readonly tails: Set<string>;
  readonly severity: OracleFinding["severity"];
}

class Report {
  readonly #entries = new Map<string, Entry>();
  readonly #order = new Map<string, number>([["(begins)", -1]]);
  readonly #reached = new Set<string>();
  readonly #taken = new Set<string>();
  readonly #acted = new Set<string>();
  readonly #moved = new Set<string>();
  readonly #pathEnds = new Set<string>();
  readonly #changed = new Set<string>();
  readonly #verdicts = new Map<string, "holds" | "violated">();
  readonly #tails: string[] = [];
  #configurations = 0;
  readonly #program: Program;
  readonly #procedure: Procedure;
  readonly #limit: number;

  constructor(program: Program, procedure: Procedure, limit: number) {
    this.#program = program;
    this.#procedure = procedure;
    this.#limit = limit;
    for (const step of everyStep(procedure.steps))
      if (!this.#order.has(step.name)) this.#order.set(step.name, this.#order.size);
    this.#order.set("(end)", this.#order.size);
  }

  tail(tail: Tail, rulesOnly: boolean): void {
    const world = buildWorld(this.#program, this.#procedure, tail);
    const starts = [...startStates(world)];
    if (starts.length === 0) {
      this.#add(world, "flow/no-start", "(begins)", 0, { thing: tail.name });
      this.#pathEnds.add("(begins)");
      return;
    }
    this.#tails.push(tail.name);
    if (!rulesOnly) this.#base(world);
    for (const rule of world.rules) this.#rule(world, rule, starts);
    if (rulesOnly) return;
    this.#prohibitions(world);
    this.#covers(world);
    this.#duties(world);
  }

  finish(): OracleReport {
    if (this.#tails.length > 0) this.#nothing();
    const findings = [...this.#entries.values()].map((entry): OracleFinding => {
      const steps = [...entry.steps].sort(([a, x], [b, y]) => x - y || this.#place(a) - this.#place(b));
      return {
        code: entry.code,
        step: steps[0]![0],
        ...(entry.rule === undefined ? {} : { rule: entry.rule }),
        ...(entry.thing === undefined ? {} : { thing: entry.thing }),
        severity: entry.severity,
        moments: steps[0]![1],
        ties: steps.filter(([, moments]) => moments === steps[0]![1]).map(([step]) => step),
        also: steps.slice(1).map(([step]) => step),
        tails: [...entry.tails],
      };
    });
    findings.sort((a, b) => this.#place(a.step) - this.#place(b.step) || (spelled(a) < spelled(b) ? -1 : 1));
    return {
      findings,
      verdicts: this.#verdicts,
      idle: this.#program.rules
        .filter((rule) => this.#verdicts.has(rule.id) && this.#isIdle(rule))
        .map((rule) => rule.id),
      tails: this.#tails,
      configurations: this.#configurations,
    };
  }

  /** The search that every finding but those of rules comes from. */
  #base(world: World): void {
    const sites = new Map<string, { step: Step; condition: Condition; looks: Map<string, boolean> }>();
    const cutShort = new Set<number>();
    const explored = this.#explore(world, noQuestion, (distance, current) => ({
      note: (code, step, thing) => {
        this.#add(world, code, step?.name ?? "(begins)", distance(), { thing });
        if (!PATH_ENDS.includes(code)) return;
        cutShort.add(current());
        this.#pathEnds.add(step?.name ?? "(begins)");
      },
      reached: (step) => this.#reached.add(step.name),
      moved: (step, stands) => {
        this.#acted.add(step.name);
        if (!stands) this.#moved.add(step.name);
      },
      ifNotTaken: (step) => this.#taken.add(step.name),
      seen: (step, condition, state, but) => {
        if (!this.#hidden(world, condition)) return;
        const key = `${step.name} ${spell(condition)} ${but.join()}`;
        const site = sites.get(key) ?? { step, condition, looks: new Map() };
        sites.set(key, site);
        const sight = this.#sight(world, state, but);
        const truth = holds(world, state, timeless(condition));
        if (site.looks.get(sight) === !truth)
          this.#add(world, "view/cannot-see", step.name, distance(), { thing: spell(condition), severity: "warning" });
        site.looks.set(sight, truth);
      },
      handOver: (code, step, begins, state) => {
        begins.forEach((begin, index) => {
          const given = step.kind === "go-to" ? bare(state) : state;
          if (holds(world, given, begin)) return;
          this.#add(world, code, step.name, distance(), { thing: `${index}` });
          this.#pathEnds.add(step.name);
          cutShort.add(current());
        });
      },
    }));
    this.#promises(world, explored);
    explored.edges.forEach((nexts, id) => {
      for (const next of nexts) this.#change(world, explored.configs[id]!.state, explored.configs[next]!.state);
    });
    const forEver = waitsForEver(explored, cutShort);
    for (const { steps, moments } of forEver) {
      const names = steps.map((step) => step.name);
      for (const name of names) this.#pathEnds.add(name);
      const waits = steps.filter((step) => step.kind === "wait-for").map((step) => step.name);
      const named = (waits.length > 0 ? waits : names).sort((a, b) => this.#place(a) - this.#place(b));
      this.#add(world, "flow/waits-for-ever", named[0]!, moments, { thing: names.sort().join("+") });
    }
    for (const { steps, moments } of neverEnds(explored)) {
      this.#add(world, "flow/never-ends", steps[0]!.name, moments);
      this.#pathEnds.add(steps[0]!.name);
    }
  }

  /** `ends` at every good end and throughout the final pause; where they all hold, what the next one takes for granted. */
  #promises(world: World, explored: Explored): void {
    const { ends, next } = this.#procedure;
    const begins = (next && this.#program.procedures.get(next.procedure)?.begins) ?? [];
    explored.configs.forEach((config, id) => {
      if (config.end?.how !== "good") return;
      ends.forEach((promise, index) => {
        if (!holds(world, config.state, promise))
          this.#add(world, "flow/promise", "(end)", explored.moments[id]!, { thing: `${index}` });
      });
      if (!ends.every((promise) => holds(world, config.state, promise))) return;
      begins.forEach((begin, index) => {
        if (!holds(world, bare(config.state), begin))
          this.#add(world, "flow/hand-over", "(end)", explored.moments[id]!, { thing: `${index}` });
      });
    });
  }

  #rule(world: World, rule: Rule, starts: readonly State[]): void {
    if (starts.some((state) => alreadySo(world, rule, state)))
      this.#add(world, "order/already-so", "(begins)", 0, { rule: rule.id, severity: "warning" });
    const broken = this.#ask(world, ruleQuestion(world, rule), `order/${codeOf(rule)}`, { rule: rule.id });
    if (broken || !this.#verdicts.has(rule.id)) this.#verdicts.set(rule.id, broken ? "violated" : "holds");
  }

  /** Asks one question of every run; true if something breaks it. */
  #ask(
    world: World,
    question: Question,
    code: string,
    more: { rule?: string; thing?: string },
    onlyEnd = false,
  ): boolean {
    const { breaks } = this.#explore(world, question);
    const own = breaks.filter((one) => one.by !== "gauge");
    for (const one of own) {
      const blamed = one.config.end?.how === "good" ? one.config.last : one.step;
      const step = onlyEnd ? "(end)" : (blamed?.name ?? "(begins)");
      this.#add(world, code, step, one.moments, more);
    }
    if (own.length > 0) return true;
    for (const one of breaks) this.#add(world, code, "(begins)", one.moments, { ...more, severity: "info" });
    return breaks.length > 0;
  }

  #prohibitions(world: World): void {
    for (const step of everyStep(this.#procedure.steps))
      if (step.kind === "prohibit")
        this.#ask(world, prohibitQuestion(world, step), "prohibit/broken", { thing: step.name });
  }

  #covers(world: World): void {
    for (const { set } of this.#procedure.covers)
      for (const light of world.system.lightSets.get(set)?.lights ?? [])
        for (const wanted of ["lit", "out"] as const)
          this.#ask(world, coverQuestion(world, light, wanted), "cover/gap", { thing: `${light} ${wanted}` }, true);
  }

  #duties(world: World): void {
    for (const control of world.system.controls.values()) {
      if (!control.duty || !isFitted(world.tail, control)) continue;
      for (const position of control.springs.keys())
        for (const which of ["on", "rest", "tries"] as const)
          if (control.duty[which] !== undefined)
            this.#ask(world, dutyQuestion(world, control.id, position, control.duty, which), `duty/${which}`, {
              thing: control.id,
            });
    }
  }

  #explore(
    world: World,
    question: Question,
    listen?: (distance: () => number, current: () => number) => Listener,
  ): Explored {
    const explored = explore(world, question, this.#limit, listen);
    this.#configurations += explored.configs.length;
    return explored;
  }

  /** What is of no effect: steps never reached, if-nots never taken, sets that move nothing; on no tail. */
  #nothing(): void {
    const add = (code: string, step: Step) => this.#add(undefined, code, step.name, 0, { severity: "info" });
    for (const step of ownSteps(this.#procedure.steps)) {
      if (!this.#reached.has(step.name)) continue;
      const lights = step.kind === "check" && isAssertion(this.#program, this.#procedure, step.condition);
      if (step.kind === "check" && !lights && !this.#taken.has(step.name)) add("flow/never-taken", step);
      if (step.kind === "set" && this.#acted.has(step.name) && !this.#moved.has(step.name)) add("flow/no-effect", step);
    }
    let stretch = false;
    const walk = (block: readonly Step[]): void => {
      for (const step of block) {
        const reached = this.#reached.has(step.name);
        const cut = [...this.#pathEnds].some((name) => this.#place(name) < this.#place(step.name));
        if (!reached && !stretch && !cut) add("flow/never-reached", step);
        stretch = !reached;
        const isTold = step.kind === "check" && reached && !this.#taken.has(step.name);
        const untold =
          step.kind === "watch" ||
          (isTold && step.kind === "check" && !isAssertion(this.#program, this.#procedure, step.condition));
        if (!untold && !isRunElsewhere(step)) for (const inner of blocksOf(step)) walk(inner);
      }
    };
    walk(this.#procedure.steps);
  }

  /** Whether what the crew sees may leave the condition open; a condition of plain handles, gauges and lights never is. */
  #hidden(world: World, condition: Condition): boolean {
    return [...deepAtoms(world, timeless(condition))].some(
      (atom) => atom.kind === "is" && (atom.of === "equipment" || atom.of === "outside"),
    );
  }

  /** All that the crew can see of a state. */
  #sight(world: World, state: State, but: readonly string[]): string {
    const { system } = world;
    const shown: unknown[] = [];
    world.variables.forEach((variable, index) => {
      const map =
        variable.kind === "equipment" ? system.equipment : variable.kind === "outside" ? system.outside : undefined;
      if (variable.kind === "control" || map?.get(variable.id)?.shown !== undefined) shown.push(state.values[index]);
    });
    for (const light of system.lights.values()) {
      if (but.includes(light.id) || !isFitted(world.tail, light) || (!light.litWhen && !light.flashingWhen)) continue;
      const flashing = { kind: "light", light: light.id, state: "flashing", negated: false, span: light.span } as const;
      shown.push(isLit(world, state, light), holds(world, state, flashing));
    }
    for (const condition of system.conditions.values())
      if (condition.shown !== undefined)
        shown.push(holds(world, state, { kind: "named", condition: condition.id, span: condition.span }));
    return `${shown.join()}/${state.gauges.join(";")}/${state.done.join()}`;
  }

  #change(world: World, before: State, now: State): void {
    world.variables.forEach((variable, index) => {
      if (before.values[index] !== now.values[index]) this.#changed.add(`${variable.kind}:${variable.id}`);
    });
    for (const [id, { family }] of world.gauge)
      if (before.gauges[family]!.join() !== now.gauges[family]!.join()) this.#changed.add(`gauge:${id}`);
    world.doneAsked.forEach((step, index) => {
      if (before.done[index] !== now.done[index]) this.#changed.add(`done:${step}`);
    });
  }

  #isIdle(rule: Rule): boolean {
    const { form } = rule;
    const q = form.kind === "never" || form.kind === "always" ? form.condition : form.trigger;
    if (!q) return false;
    const system = this.#program.systems.get(rule.system)!;
    const things = (c: Condition): string[] =>
      [...thingsNamed(c), ...doneNamed(c)].flatMap((thing) => {
        const id = thing.slice(thing.indexOf(":") + 1);
        if (thing.startsWith("condition:")) return things(system.conditions.get(id)!.means);
        if (!thing.startsWith("light:")) return [thing];
        const light = system.lights.get(id)!;
        return [light.litWhen, light.flashingWhen].flatMap((part) => (part ? things(part) : []));
      });
    return !things(q).some((thing) => this.#changed.has(thing));
  }

  #add(
    world: World | undefined,
    code: string,
    step: string,
    moments: number,
    more: { rule?: string | undefined; thing?: string | undefined; severity?: OracleFinding["severity"] } = {},
  ): void {
    const perStep =
      !more.rule &&
      ![
        "flow/waits-for-ever",
        "system/conflict",
        "system/race",
        "system/never-settles",
        "flow/promise",
        "flow/hand-over",
        "prohibit/broken",
        "cover/gap",
        "view/cannot-see",
      ].includes(code) &&
      !code.startsWith("duty/");
    const key = [code, more.rule, more.thing, perStep ? step : "", more.severity === "info" ? "info" : ""].join(" ");
    const entry = this.#entries.get(key) ?? {
      code,
      rule: more.rule,
      thing: more.thing,
      steps: new Map(),
      tails: new Set(),
      severity: more.severity ?? "error",
    };
    this.#entries.set(key, entry);
    if (world) entry.tails.add(world.tail.name);
    entry.steps.set(step, Math.min(entry.steps.get(step) ?? Infinity, moments));
  }

  #place(step: string): number {
    return this.#order.get(step) ?? 0;
  }
}

/** A performed procedure: what never comes about in it is told by its own run. */
function isRunElsewhere(step: Step): boolean {
  return step.kind === "perform" && step.target.kind === "procedure";
}

function* ownSteps(steps: readonly Step[]): Generator<Step> {
  for (const step of steps) {
    yield step;
    if (!isRunElsewhere(step)) for (const block of blocksOf(step)) yield* ownSteps(block);
  }
}

/** The code of a broken rule, after its form. */
function codeOf(rule: Rule): string {
  return rule.form.kind === "after" && rule.form.within !== undefined ? "within" : rule.form.kind;
}

/** What is handed over: fit, outside, controls, equipment and gauges; nothing known, done or recorded. */
function bare(state: State): State {
  const no = (list: readonly boolean[]) => list.map(() => false);
  return { ...state, known: no(state.known), done: no(state.done), recorded: no(state.recorded) };
}

/** The crew times a `for` by itself: what must be seen is the condition. */
function timeless(c: Condition): Condition {
  if (c.kind === "for") return timeless(c.of);
  if (c.kind === "and" || c.kind === "or") return { ...c, of: c.of.map(timeless) };
  return c.kind === "not" ? { ...c, of: timeless(c.of) } : c;
}

function isAssertion(program: Program, procedure: Procedure, c: Condition): boolean {
  const { lights } = program.systems.get(procedure.system)!;
  if (c.kind === "and" || c.kind === "or")
    return c.of.every((part) => isFit(part) || isAssertion(program, procedure, part));
  if (c.kind === "not") return isAssertion(program, procedure, c.of);
  const light = c.kind === "light" ? lights.get(c.light) : undefined;
  return light?.litWhen !== undefined || light?.flashingWhen !== undefined;
}

function isFit(c: Condition): boolean {
  return c.kind === "fitted" || (c.kind === "not" && c.of.kind === "fitted");
}

function spelled(finding: OracleFinding): string {
  return [finding.code, finding.rule, finding.thing].join(" ");
}
