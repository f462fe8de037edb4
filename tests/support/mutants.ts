import type { Condition } from "../../src/program/condition.js";
import type { Fault, Slip } from "../../src/program/coverage.js";
import type { Procedure, Step } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import { withInner } from "../../src/program/rebuild.js";
import type { Light, System, Tail } from "../../src/program/system.js";
import { explore } from "../oracle/explore.js";
import { ruleQuestion } from "../oracle/questions.js";
import { everyStep } from "../oracle/text.js";
import type { Moment, Question } from "../oracle/walk.js";
import { buildWorld, holds, isFitted, isLit, type State, type World } from "../oracle/world.js";

/** The mark of a run in which the slip was made. */
const MADE = "the slip was made";

/** The steps with the slip in them, by what the slip says of itself; `MADE` stands where it is made. */
export function mutated(steps: readonly Step[], slip: Slip): readonly Step[] {
  const at = steps.findIndex(({ name }) => name === slip.step);
  if (at < 0) {
    return steps.map((step) => (step.kind === "perform" ? step : withInner(step, (inner) => mutated(inner, slip))));
  }
  const step = steps[at]!;
  const mark = markLike(step);
  if (slip.kind === "left out") return steps.toSpliced(at, 1, mark);
  if (slip.kind === "early") return steps.toSpliced(at - 1, 2, mark, step, steps[at - 1]!);
  if (step.kind !== "set") throw new Error("only what is set can stand beside");
  const moves = step.moves.flatMap((move) => {
    if (!move.controls.includes(slip.control!)) return [move];
    if (move.choice === "either")
      return [{ ...move, choice: "each", controls: [slip.control!], position: slip.detail! } as const];
    return move.controls.flatMap((control) => {
      if (control !== slip.control) return [{ ...move, controls: [control] }];
      return slip.kind === "one side" ? [] : [{ ...move, controls: [control], position: slip.detail! }];
    });
  });
  return steps.toSpliced(at, 1, mark, { ...step, moves });
}

function markLike({ number, span, verb }: Step, more: object = {}): Step {
  const common = { number, span, verb, by: [], takes: 0, critical: false };
  return { ...common, name: MADE, kind: "do", text: "", ...more };
}

export interface Outcome {
  readonly silent: boolean;
  /** Steps at which it is seen: lists that are wrong, checks that fail. */
  readonly seenAt: ReadonlySet<string>;
}

/** What comes of a slip, by walking through every run of the mutated procedure. `rules` are those that hold without it. */
export function outcomeOf(
  program: Program,
  procedure: Procedure,
  tail: Tail,
  slip: Slip,
  rules: ReadonlySet<string>,
  limit: number,
): Outcome {
  const asks: Condition = { kind: "or", span: procedure.span, of: [constant(true, procedure), made(procedure)] };
  const slipped: Procedure = {
    ...procedure,
    begins: [...procedure.begins, asks],
    steps: mutated(procedure.steps, slip),
  };
  const blind: Procedure = { ...slipped, steps: answeredBefore(slipped.steps, procedure) };
  const procedures = (one: Procedure) => ({ ...program, procedures: new Map([...program.procedures, [one.id, one]]) });
  const [plain, unseen] = [slipped, blind].map((one) => buildWorld(procedures(one), one, tail)) as [World, World];
  const seenAt = new Set<string>();
  explore(
    plain,
    marking({ start: () => [], moment: (monitor) => monitor }, (moment) => {
      if (isWrong(plain, moment)) seenAt.add(moment.step!.name);
      return false;
    }),
    limit,
  );
  const isSeen = (moment: Moment) => isWrong(unseen, moment);
  const cut: { readonly id: number; readonly step: Step | undefined }[] = [];
  const handed: number[] = [];
  const explored = explore(unseen, marking(nothing, isSeen), limit, (_distance, current) => ({
    ...deaf,
    note: (code, step) => {
      if (code === "flow/needs") cut.push({ id: current(), step });
    },
    handOver: (_code, _step, begins, state) => {
      if (!begins.every((begin) => holds(unseen, state, begin))) handed.push(current());
    },
  }));
  const isMade = (id: number) => explored.configs[id]!.monitor[0] === 1;
  const asked = new Map([...everyStep(procedure.steps)].map(({ name, needs }) => [name, needs]));
  const isNeed = ({ id, step }: (typeof cut)[number]) => {
    const needs = asked.get(step?.name ?? "");
    return needs !== undefined && isMade(id) && !holds(unseen, explored.configs[id]!.state, needs);
  };
  let silent = cut.some(isNeed) || handed.some(isMade);
  const nexts = (procedure.next && program.procedures.get(procedure.next.procedure)?.begins) ?? [];
  explored.configs.forEach(({ end, state }, id) => {
    if (end?.how !== "good" || !isMade(id)) return;
    const kept = procedure.ends.every((promise) => holds(unseen, state, promise));
    if (!kept || !nexts.every((begin) => holds(unseen, state, begin))) silent = true;
  });
  for (const rule of unseen.rules) {
    if (silent || !rules.has(rule.id)) continue;
    const broken = () => {
      silent = true;
    };
    explore(unseen, marking(ruleQuestion(unseen, rule), isSeen, broken), limit);
  }
  return { silent, seenAt };
}

const nothing: Question = { start: () => [], moment: (monitor) => monitor };

const deaf = {
  note: () => {},
  reached: () => {},
  moved: () => {},
  ifNotTaken: () => {},
  seen: () => {},
  handOver: () => {},
};

function constant(value: boolean, { span }: Procedure): Condition {
  return { kind: "constant", value, span };
}

function made({ span }: Procedure): Condition {
  return { kind: "done", step: MADE, span };
}

/** Answers to a wrong list or a failing check are gone into only before the slip: after it, that is where it is caught. */
function answeredBefore(steps: readonly Step[], procedure: Procedure): readonly Step[] {
  const { span } = procedure;
  const after = made(procedure);
  const before: Condition = { kind: "not", of: after, span };
  const never = (step: Step) => markLike(step, { name: "answer", needs: constant(false, procedure) });
  return steps.map((each): Step => {
    const step = withInner(each, (inner) => answeredBefore(inner, procedure));
    if (step.kind !== "check" && step.kind !== "observe") return step;
    const when = (condition: Condition): Condition =>
      step.needs ? { kind: "and", of: [step.needs, condition], span } : condition;
    const blind: Step =
      step.kind === "check"
        ? { ...step, needs: when(after), ifNot: [never(step)] }
        : { ...step, needs: when(after), ifNot: [] };
    const { needs: _needs, kind: _kind, ...common } = markLike(step, { name: `way of ${step.name}` });
    const ways = [{ ...step, needs: when(before) }, blind].map((one) => ({ title: "", steps: [one] }));
    return { ...common, ...(step.applies && { applies: step.applies }), kind: "choose", options: ways };
  });
}

/** A question asked with a first value beside it that tells if the slip has been made; what is seen then ends the run. */
function marking(question: Question, seen: (moment: Moment) => boolean, broken: () => void = () => {}): Question {
  const marked: Question = {
    start: (state) => [0, ...question.start(state)],
    moment: ([slipped = 0, ...rest], moment) => {
      if (slipped === 1 && seen(moment)) return "broken";
      const next = question.moment(rest, moment);
      if (next === "broken") {
        broken();
        return "broken";
      }
      return [moment.by === "act" && moment.step?.name === MADE ? 1 : slipped, ...next];
    },
  };
  const { ended, silently, borne } = question;
  if (ended)
    marked.ended = ([, ...rest], config) => {
      const answer = ended(rest, config);
      if (answer === "broken") broken();
      return answer;
    };
  if (silently)
    marked.silently = ([slipped = 0, ...rest], elapsed, lane) => {
      const answer = silently(rest, elapsed, lane);
      if (answer === "broken") {
        broken();
        return "broken";
      }
      return [slipped, ...answer];
    };
  if (borne) marked.borne = ([slipped = 0, ...rest], state, step) => [slipped, ...borne(rest, state, step)];
  return marked;
}

/** A look at lights that are not as listed, or at what a check asks for and is not so. */
function isWrong(world: World, { by, step, now }: Moment): boolean {
  if (by !== "act" || !step) return false;
  if (step.kind === "check") return !holds(world, now, step.condition);
  if (step.kind !== "observe") return false;
  return step.lights.some((id) => {
    const light = world.system.lights.get(id)!;
    if (!isFitted(world.tail, light) || (!light.litWhen && !light.flashingWhen)) return false;
    const listed = step.lit.some((each) => each.light === id && (!each.when || holds(world, now, each.when)));
    return isLit(world, now, light) !== listed;
  });
}

/** Whether this test can judge the procedure: no check of times, nor of lights without logic. */
export function canJudge(system: System, procedure: Procedure): boolean {
  for (const step of everyStep(procedure.steps)) {
    if (step.kind !== "check") continue;
    const text = JSON.stringify(step.condition, (_key, value) => (typeof value === "bigint" ? `${value}` : value));
    if (text.includes('"kind":"for"')) return false;
    for (const light of system.lights.values())
      if (!light.litWhen && !light.flashingWhen && text.includes(`"light":"${light.id}"`)) return false;
  }
  return true;
}

void ({} as Fault | Light | State);
