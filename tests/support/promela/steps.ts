import type { Condition } from "../../../src/program/condition.js";
import type { Move, Step } from "../../../src/program/procedure.js";
import { learn, thingsIn } from "./known.js";
import { type Cells, cell, inWords, isLit, isOfLightsAlone, move, stands, Unsupported } from "./words.js";

/** What is asked beside the rules: `observe STEP LIGHT missing`, with its number in the system. */
export type Ask = (question: string) => string;

export interface Scene {
  readonly cells: Cells;
  /** The statement that says a question is answered with yes. */
  readonly ask: Ask;
  /** Controls held here and where each goes, a list for each hold, the innermost first. */
  readonly held: readonly (readonly { readonly control: string; readonly to: string }[])[];
  /** Where a run goes when it has ended. */
  readonly label: string;
  /** Statements at a good end and at a set-aside, at the moment itself. */
  readonly good: string;
  readonly aside: string;
  /** Which of those that work at once, from 1; 0 where one works alone. */
  readonly lane: number;
  /** Names of the processes of a `together`, made on the way. */
  readonly lanes: (steps: readonly (readonly Step[])[]) => string;
}

/**
 * An act that moves something: the server (see `model.ts`) settles and judges before anything else can happen. `calm` says
 * that it has done so, and that nobody has ended the run.
 */
function act(moves: string, when = "calm"): string {
  return `d_step { ${when} -> ${moves}; busy = 1 }`;
}

/** An act on a control: where another holds it (`h` says who), that is told, and the act waits until it is let go. */
function actOn({ cells, ask, lane }: Scene, step: Step, control: string, moves: string): string {
  if (lane === 0) return act(moves);
  const holder = `h[${cell(cells, control).index}]`;
  const own = act(moves, `(calm && (${holder}==0 || ${holder}==${lane}))`);
  const told = ask(`lanes/held ${control} @${step.name}`);
  return choice([own, `d_step { (calm && ${holder}!=0 && ${holder}!=${lane}) -> ${told} };\n${own}`]);
}

/**
 * A look, or the begin or end of a wait: a moment at which nothing stands otherwise than before. The server need only judge it
 * where something becomes known (`learned`, see `learn`).
 */
function look(when = "1", more = "", learned = ""): string {
  return `d_step { (calm && ${when}) -> ${learned === "" ? "owed = pending" : "busy = 1"}${learned}${more} }`;
}

/** The steps as statements of Promela, in order. */
export function statements(scene: Scene, steps: readonly Step[]): string {
  return steps.length === 0 ? "skip" : steps.map((step) => statement(scene, step)).join(";\n");
}

function statement(scene: Scene, step: Step): string {
  if (step.needs) throw new Unsupported("needs");
  if (step.applies) throw new Unsupported("applies");
  const { cells } = scene;
  const inner = (list: readonly Step[]) => statements(scene, list);
  switch (step.kind) {
    case "set":
      return step.moves.map((one) => setMove(scene, step, one)).join(";\n");
    case "verify":
      return verify(scene, step);
    case "check":
      return check(scene, step);
    case "if": {
      const [yes, no] = bothWays(cells, step.condition);
      const learned = learn(cells, thingsIn(step.condition));
      return choice([
        `${look(yes, "", learned)};\n${inner(step.then)}`,
        `${look(no, "", learned)};\n${inner(step.else)}`,
      ]);
    }
    case "decide":
      return decide(scene, step);
    case "choose":
      return choice(step.options.map((option) => `skip;\n${inner(option.steps)}`));
    case "observe":
      return observe(scene, step);
    case "press":
      return Array.from({ length: step.times }, () => holdAll(scene, step, step.moves, [])).join(";\n");
    case "hold":
      if (step.for && !step.for.upTo) throw new Unsupported("a wait");
      return holdAll(scene, step, step.moves, step.steps, step.for !== undefined);
    case "wait-for":
      return waitFor(scene, step);
    case "repeat":
      return repeat(scene, step);
    case "ask":
      return act(move(cells, step.outside, step.state) + learn(cells, [`is ${step.outside}`]));
    case "together":
      return scene.lanes(step.lanes.map((lane) => lane.steps));
    case "finish":
      return end(scene, scene.good);
    case "set-aside":
      return end(scene, scene.aside);
    case "section":
    case "memory":
      return inner(step.steps);
    case "say":
    case "do":
    case "sign":
    case "pause":
    case "prohibit":
      return "skip";
    default:
      throw new Unsupported(`\`${step.kind}\``);
  }
}

function bothWays(cells: Cells, condition: Condition): [string, string] {
  const words = inWords(cells, condition);
  return [`(${words})`, `!(${words})`];
}

function choice(ways: readonly string[]): string {
  return `if\n${ways.map((way) => `:: ${way}`).join("\n")}\nfi`;
}

/** A check of lights alone asserts each of them, and both ways go on from every state. */
function check(scene: Scene, { name, condition, ifNot }: Extract<Step, { kind: "check" }>): string {
  const failing = statements(scene, ifNot);
  const learned = learn(scene.cells, thingsIn(condition));
  if (!isOfLightsAlone(condition)) {
    const [yes, no] = bothWays(scene.cells, condition);
    return choice([look(yes, "", learned), `${look(no, "", learned)};\n${failing}`]);
  }
  const judged = lightsOf(condition).map(({ light, state, negated }) => {
    const wanted = (state === "lit") !== negated ? "1" : "0";
    return compare(scene, name, light, wanted);
  });
  return `${look("1", judged.join(""), learned)};\n${choice(["skip", `skip;\n${failing}`])}`;
}

function lightsOf(condition: Condition): Extract<Condition, { kind: "light" }>[] {
  if (condition.kind === "light") return [condition];
  if (condition.kind === "and") return condition.of.flatMap(lightsOf);
  throw new Unsupported("a check of one light or another");
}

/** Is the light lit where it is wanted, and out where not? */
function compare({ cells, ask }: Scene, step: string, light: string, wanted: string): string {
  const lit = isLit(cells, light);
  if (lit === undefined) return "";
  const found = (when: string, what: string) =>
    `; if :: ${when} -> ${ask(`observe/${what} ${light} @${step}`)} :: else -> skip fi`;
  return found(`(${lit} && !(${wanted}))`, "surplus") + found(`(!${lit} && (${wanted}))`, "missing");
}

function setMove(scene: Scene, step: Step, { choice: how, controls, position }: Move): string {
  const each = controls.map((control) => setOne(scene, step, control, position));
  return how === "either" ? choice(each) : each.join(";\n");
}

/** A guard that is closed takes its control along; away from under a closed guard, it goes on as if that had been opened. */
function setOne(scene: Scene, step: Step, control: string, position: string): string {
  const { cells, ask } = scene;
  const { guards, guard, springs } = cells.system.controls.get(control)!;
  if (springs.has(position)) throw new Unsupported("a set to a sprung position");
  const own = move(cells, control, position) + learn(cells, [`is ${control}`]);
  if (guards && position === "closed") {
    const under = learn(cells, [`is ${guards.control}`]);
    return actOn(scene, step, control, `${own}; ${move(cells, guards.control, guards.position)}${under}`);
  }
  if (!guard || cells.system.controls.get(guard)!.guards!.position === position)
    return actOn(scene, step, control, own);
  const closed = `if :: (${stands(cells, guard, "closed")}) -> ${ask(`guard/closed @${step.name}`)}${learn(cells, [`is ${guard}`])} :: else -> skip fi`;
  return actOn(scene, step, control, `${closed}; ${own}; ${move(cells, guard, "open")}`);
}

/** Line by line: a look at one, and what it finds otherwise is set; at once: one look at all, then the sets. */
function verify(scene: Scene, step: Extract<Step, { kind: "verify" }>): string {
  const { moves, atOnce } = step;
  if (moves.some((one) => one.choice === "either")) throw new Unsupported("verify either");
  const lines = moves.map(({ controls, position }) => controls.map((control) => ({ control, position })));
  const groups = atOnce ? [lines.flat()] : lines;
  return groups.map((group) => verifyGroup(scene, step, group)).join(";\n");
}

interface Wanted {
  readonly control: string;
  readonly position: string;
}

function verifyGroup(scene: Scene, step: Step, group: readonly Wanted[]): string {
  const { cells } = scene;
  const noted = group.map(({ control, position }, bit) => `; wrong[${bit}] = !(${stands(cells, control, position)})`);
  const sets = group.map(({ control, position }, bit) =>
    choice([`(wrong[${bit}]) -> ${setOne(scene, step, control, position)}`, "else -> skip"]),
  );
  return [
    look(
      "1",
      noted.join(""),
      learn(
        cells,
        group.map(({ control }) => `is ${control}`),
      ),
    ),
    ...sets,
    `d_step { ${group.map((_, bit) => `wrong[${bit}] = 0`).join("; ")} }`,
  ].join(";\n");
}

/** Where no way fits, the path ends. */
function decide(scene: Scene, { name, ways }: Extract<Step, { kind: "decide" }>): string {
  const before: string[] = [];
  const branches = ways.map(({ condition, steps }) => {
    const own = condition ? `(${inWords(scene.cells, condition)})` : "1";
    const when = [...before.map((words) => `!${words}`), own].join(" && ");
    before.push(own);
    return `${look(when)};\n${statements(scene, steps)}`;
  });
  if (ways.some(({ condition }) => !condition)) return choice(branches);
  const gap = before.map((words) => `!${words}`).join(" && ");
  return choice([...branches, `d_step { (calm && ${gap}) -> ${scene.ask(`flow/gap @${name}`)}; busy = 2 }`]);
}

/** Every light is compared at the look; then on, or through one branch of `if-not`. */
function observe(scene: Scene, step: Extract<Step, { kind: "observe" }>): string {
  const judged = step.lights.map((light) => {
    const listed = step.lit.filter((one) => one.light === light);
    const cases = listed.map(({ when }) => (when ? `(${inWords(scene.cells, when)})` : "1"));
    return compare(scene, step.name, light, cases.join(" || ") || "0");
  });
  const branches = step.ifNot.map((branch) => `skip;\n${statements(scene, branch.steps)}`);
  const cases = step.lit.flatMap(({ when }) => (when ? thingsIn(when) : []));
  const learned = learn(scene.cells, [...step.lights.map((light) => `light ${light}`), ...cases]);
  return `${look("1", judged.join(""), learned)};\n${choice(["skip", ...branches])}`;
}

function holdAll(scene: Scene, step: Step, moves: readonly Move[], steps: readonly Step[], timed = false): string {
  const { cells } = scene;
  const taken = moves.flatMap(({ controls, position, choice: how }) => {
    if (how === "either") throw new Unsupported("hold either");
    return controls.map((control) => ({
      control,
      position,
      to: cells.system.controls.get(control)!.springs.get(position)!,
    }));
  });
  const takes = taken.map(({ control, position }) =>
    actOn(
      scene,
      step,
      control,
      `${placed(cells, control, position)}; h[${cell(cells, control).index}] = ${scene.lane}`,
    ),
  );
  const inside = statements({ ...scene, held: [taken, ...scene.held] }, steps);
  const waits = timed ? [look(), look()] : [];
  return [...takes, inside, ...waits, ...taken.map((one) => letGo(cells, one))].join(";\n");
}

/** Taken or let go, it is known where it stands. */
function placed(cells: Cells, control: string, position: string): string {
  return move(cells, control, position) + learn(cells, [`is ${control}`]);
}

function letGo(cells: Cells, { control, to }: { readonly control: string; readonly to: string }): string {
  return act(`${placed(cells, control, to)}; h[${cell(cells, control).index}] = 0`);
}

function waitFor(scene: Scene, step: Extract<Step, { kind: "wait-for" }>): string {
  const [so, not] = bothWays(scene.cells, step.condition);
  const out = step.within === undefined ? [] : [`${look(not)};\n${statements(scene, step.ifNot)}`];
  return [look(), statements(scene, step.steps), choice([look(so), ...out])].join(";\n");
}

function repeat(scene: Scene, { steps, until, times, every }: Extract<Step, { kind: "repeat" }>): string {
  if (every !== undefined) throw new Unsupported("a wait");
  const body = statements(scene, steps);
  if (times !== undefined) return Array.from({ length: times }, () => body).join(";\n");
  const [so, not] = bothWays(scene.cells, until!);
  const learned = learn(scene.cells, thingsIn(until!));
  return `do\n:: skip;\n${body};\n${choice([`${look(so, "", learned)}; break`, look(not, "", learned)])}\nod;\nskip`;
}

/** Lets go what is held and ends the run. */
function end(scene: Scene, judged: string): string {
  const releases = scene.held.flat().map((one) => letGo(scene.cells, one));
  return [...releases, `d_step { calm -> ${judged}; stop = 1 }`, `goto ${scene.label}`].join(";\n");
}
