import type { Condition } from "../../src/program/condition.js";
import type { Slip } from "../../src/program/coverage.js";
import type { Procedure, Step } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import type { Tail } from "../../src/program/system.js";
import { type Explored, explore, type Twist } from "../oracle/explore.js";
import { type OracleReport, PATH_ENDS } from "../oracle/interpreter.js";
import { lateWaits } from "../oracle/liveness.js";
import { dutyQuestion, noQuestion, prohibitQuestion, ruleQuestion } from "../oracle/questions.js";
import { blocksOf, everyStep } from "../oracle/text.js";
import { type Config, deaf, type Moment, type Next, type Question, type Walker } from "../oracle/walk.js";
import { buildWorld, holds, isFitted, type State, type World } from "../oracle/world.js";
import { MADE, mutated } from "./mutants.js";
import { isOfLightsAlone, stuckIn, tells, tellsOfWait, type Usual } from "./sights.js";

export interface Outcome {
  readonly verdict: "silent" | "caught" | "harmless";
  /** The first in the text of the steps that see it; for a caught slip only. */
  readonly caughtAt: string | undefined;
  /** What it breaks unseen. */
  readonly harms: readonly string[];
}

type Beside = NonNullable<Twist["beside"]>;

interface Asked {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly tail: Tail;
  /** What the interpreter says of the procedure without the slip, and what its runs show. */
  readonly sound: OracleReport;
  readonly usual: Usual;
  readonly limit: number;
}

/** What comes of a slip, by walking through every run of the mutated procedure. */
export function outcomeOf(asked: Asked, slip: Slip): Outcome {
  const { procedure } = asked;
  return outcomeIn(asked, { ...procedure, steps: mutated(procedure.steps, slip) });
}

/** What fails by itself in some configurations, before the mark is set: what comes of it, and the watches that tell of it. */
export type Failing = (
  config: Config,
  walker: Walker,
) => { readonly nexts: readonly Next[]; readonly told: readonly Step[] };

/** The same of a failure, which makes no line different. */
export function outcomeOfFailure(asked: Asked, failing: Failing): Outcome {
  return outcomeIn(asked, asked.procedure, failing);
}

function outcomeIn(asked: Asked, slipped: Procedure, failing?: Failing): Outcome {
  const { procedure } = asked;
  const told = new Set<string>();
  const beside = (config: Config, walker: Walker): readonly Next[] => {
    if (!failing || config.monitor[0] === 1) return [];
    const found = failing(config, walker);
    for (const { name } of found.told) told.add(name);
    return found.told.length > 0 ? found.nexts.filter(({ isBroken }) => isBroken) : found.nexts;
  };
  const world = worldOf(asked, slipped);
  const harms = harmsOf(asked, world, beside);
  if (harms.length > 0) return { verdict: "silent", caughtAt: undefined, harms };
  const seenAt = new Set([...seenIn(asked, world, beside), ...told]);
  const [caughtAt] = [...everyStep(procedure.steps)].map(({ name }) => name).filter((name) => seenAt.has(name));
  return { verdict: caughtAt === undefined ? "harmless" : "caught", caughtAt, harms };
}

function worldOf({ program, tail }: Asked, procedure: Procedure): World {
  return buildWorld(
    { ...program, procedures: new Map([...program.procedures, [procedure.id, procedure]]) },
    procedure,
    tail,
  );
}

/** The steps that see the slip on some path. */
function seenIn(asked: Asked, world: World, beside: Beside): ReadonlySet<string> {
  const { usual, limit } = asked;
  const seenAt = new Set<string>();
  const look = (moment: Moment) => {
    if (tells(world, usual, moment)) seenAt.add(moment.step!.name);
    return false;
  };
  const cutShort = new Set<number>();
  const listen = (_distance: () => number, current: () => number) => ({
    ...deaf,
    note: (code: string) => {
      if (PATH_ENDS.includes(code)) cutShort.add(current());
    },
    handOver: (_code: string, _step: Step, begins: readonly Condition[], state: State) => {
      if (!begins.every((begin) => holds(world, state, begin))) cutShort.add(current());
    },
  });
  const explored = explore(world, marking(noQuestion, look), limit, listen, { beside });
  for (const { id, step } of stuckIn(explored, cutShort)) if (isMade(explored, id)) seenAt.add(step.name);
  for (const { id, step } of lateWaits(explored, cutShort)) {
    const tells = tellsOfWait(world, usual, "waits", { id, step }, explored);
    if (isMade(explored, id) && tells) seenAt.add(step.name);
  }
  return seenAt;
}

function isMade({ configs }: Explored, id: number): boolean {
  return configs[id]!.monitor[0] === 1;
}

/** What holds without the slip and is broken with it, before anything tells of it: needs, promises, else the first found. */
function harmsOf(asked: Asked, world: World, beside: Beside): readonly string[] {
  const { sound, usual, limit } = asked;
  const isSeen = (moment: Moment) => tells(world, usual, moment);
  const twist: Twist = { leavesOut: answersUnseen(world), beside };
  const harms = new Set<string>(harmsAtPlaces(asked, world, isSeen, twist));
  const ask = (name: string, question: Question) => {
    if (harms.size > 0) return;
    const asking = marking(question, isSeen, () => harms.add(name));
    explore(world, asking, limit, undefined, twist);
  };
  const wrong = (code: string, thing: string) => sound.findings.some((one) => one.code === code && one.thing === thing);
  for (const rule of world.rules)
    if (sound.verdicts.get(rule.id) === "holds") ask(`rule ${rule.id}`, ruleQuestion(world, rule));
  for (const step of new Set(everyStep(world.procedure.steps)))
    if (step.kind === "prohibit" && !wrong("prohibit/broken", step.name))
      ask(`prohibition ${step.name}`, prohibitQuestion(world, step));
  for (const control of world.system.controls.values()) {
    const { duty } = control;
    if (!duty || !isFitted(world.tail, control)) continue;
    for (const position of control.springs.keys())
      for (const which of ["on", "rest", "tries"] as const)
        if (duty[which] !== undefined && !wrong(`duty/${which}`, control.id))
          ask(`duty ${which} ${control.id}`, dutyQuestion(world, control.id, position, duty, which));
  }
  return [...harms];
}

/** Needs, hand-overs and promises that are not kept. */
function harmsAtPlaces(
  { program, procedure, limit }: Asked,
  world: World,
  isSeen: (moment: Moment) => boolean,
  twist: Twist,
): readonly string[] {
  const cut: { readonly id: number; readonly step: Step | undefined }[] = [];
  const handed: { readonly id: number; readonly step: Step }[] = [];
  const listen = (_distance: () => number, current: () => number) => ({
    ...deaf,
    note: (code: string, step: Step | undefined) => {
      if (code === "flow/needs") cut.push({ id: current(), step });
    },
    handOver: (_code: string, step: Step, begins: readonly Condition[], state: State) => {
      if (!begins.every((begin) => holds(world, state, begin))) handed.push({ id: current(), step });
    },
  });
  const explored = explore(world, marking(noQuestion, isSeen), limit, listen, twist);
  const asked = new Map([...everyStep(procedure.steps)].map(({ name, needs }) => [name, needs]));
  const needs = cut.flatMap(({ id, step }) => {
    const own = asked.get(step?.name ?? "");
    const isBroken = own && isMade(explored, id) && !holds(world, explored.configs[id]!.state, own);
    return isBroken ? [`need of ${step?.name}`] : [];
  });
  const given = handed.flatMap(({ id, step }) => (isMade(explored, id) ? [`hand-over at ${step.name}`] : []));
  const nexts = (procedure.next && program.procedures.get(procedure.next.procedure)?.begins) ?? [];
  const atEnd = explored.configs.flatMap(({ end, state }, id) => {
    if (end?.how !== "good" || !isMade(explored, id)) return [];
    if (!procedure.ends.every((promise) => holds(world, state, promise))) return ["promise"];
    return nexts.every((begin) => holds(world, state, begin)) ? [] : ["hand-over to the next"];
  });
  return [...needs, ...given, ...atEnd];
}

/** What is answered for a lamp that is wrong is gone into only before the slip: after it, that is where it is caught. */
function answersUnseen(world: World): (from: Config, next: Next) => boolean {
  return ({ monitor }, { by, config }) => {
    const { last, lanes } = config;
    if (monitor[0] !== 1 || by !== "act" || !last) return false;
    if (last.kind !== "observe" && !(last.kind === "check" && isOfLightsAlone(world, last.condition))) return false;
    const answers = blocksOf(last);
    return lanes.some((lane) => {
      const top = lane.at(-1);
      return top !== undefined && "steps" in top && answers.includes(top.steps);
    });
  };
}

/** A question asked with a first value beside it that tells if the slip has been made; what is seen then ends the run. */
function marking(question: Question, seen: (moment: Moment) => boolean, broken: () => void = () => {}): Question {
  type Answer = ReturnType<Question["moment"]>;
  const noted = (slipped: number, answer: Answer): Answer => {
    if (answer !== "broken") return [slipped, ...answer];
    broken();
    return "broken";
  };
  const { ended, silently, borne, taken, released } = question;
  const marked: Question = {
    start: (state) => [0, ...question.start(state)],
    moment: ([slipped = 0, ...rest], moment) => {
      if (slipped === 1 && seen(moment)) return "broken";
      return noted(moment.by === "failure" ? 1 : Number(slipped), question.moment(rest, moment));
    },
  };
  marked.borne = ([slipped = 0, ...rest], state, step) => {
    const next = borne?.(rest, state, step) ?? rest;
    return [step.name === MADE ? 1 : slipped, ...next];
  };
  if (ended)
    marked.ended = ([, ...rest], config) => {
      const answer = ended(rest, config);
      if (answer === "broken") broken();
      return answer;
    };
  if (silently) marked.silently = ([slipped, ...rest], ...more) => noted(Number(slipped), silently(rest, ...more));
  if (taken) marked.taken = ([slipped, ...rest], ...more) => noted(Number(slipped), taken(rest, ...more));
  if (released) marked.released = ([slipped = 0, ...rest], variable) => [slipped, ...released(rest, variable)];
  return marked;
}
