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
import { buildWorld, holds, isFitted, isLit, type World } from "../oracle/world.js";

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

/** The system with the fault in it, by plain substitution. Only for systems whose logic names neither lights nor conditions. */
export function faulty(system: System, fault: Fault): System {
  const truth = fault.stuck === "true";
  const replaced = (condition: Condition, owner: string): Condition => {
    let number = 0;
    const visit = (part: Condition): Condition => {
      if (part.kind === "and" || part.kind === "or") return { ...part, of: part.of.map(visit) };
      if (part.kind === "not") return { ...part, of: visit(part.of) };
      number += 1;
      if (fault.kind === "use")
        return fault.id.startsWith(`use ${owner} #${number} `)
          ? { kind: "constant", value: truth, span: part.span }
          : part;
      if (fault.kind !== "control" || part.kind !== "is" || part.of !== "control" || part.thing !== fault.thing)
        return part;
      return { kind: "constant", value: part.values.includes(fault.stuck) !== part.negated, span: part.span };
    };
    return visit(condition);
  };
  const lights = [...system.lights.values()].map((light): Light => {
    const { id, litWhen, flashingWhen, latchedUntil, cancelledBy } = light;
    if (fault.kind === "light" && fault.thing === id) return stuckLamp(light, fault.stuck === "lit");
    const read = (condition: Condition, part: string) => replaced(condition, `light ${id} ${part}`);
    return {
      ...light,
      ...(litWhen && { litWhen: read(litWhen, "lit-when") }),
      ...(flashingWhen && { flashingWhen: read(flashingWhen, "flashing-when") }),
      ...(latchedUntil && { latchedUntil: read(latchedUntil, "latched-until") }),
      ...(cancelledBy && { cancelledBy: read(cancelledBy, "cancelled-by") }),
    };
  });
  const equipment = [...system.equipment.values()].map((piece) => ({
    ...piece,
    changes: piece.changes.map((change, index) =>
      change.when ? { ...change, when: replaced(change.when, `equipment ${piece.id} change ${index + 1}`) } : change,
    ),
  }));
  const byId = <T extends { readonly id: string }>(things: readonly T[]) => new Map(things.map((one) => [one.id, one]));
  return { ...system, lights: byId(lights), equipment: byId(equipment) };
}

function stuckLamp(light: Light, lit: boolean): Light {
  const { flashingWhen: _flashing, latchedUntil: _latched, cancelledBy: _cancelled, ...rest } = light;
  return { ...rest, litWhen: { kind: "constant", value: lit, span: light.span } };
}

/** Whether going through the procedure with the fault reveals it, by walking through every run. */
export function revealedBy(
  program: Program,
  procedure: Procedure,
  tail: Tail,
  fault: Fault,
  limit: number,
): "always" | "sometimes" | "never" | "no start" {
  const system = faulty(program.systems.get(procedure.system)!, fault);
  const alone: Procedure = { ...procedure, ends: [], steps: neverAnswered(procedure.steps, procedure) };
  const systems = new Map([...program.systems, [system.id, system]]);
  const procedures = new Map([...program.procedures, [alone.id, alone]]);
  const world = buildWorld({ ...program, systems, procedures, rules: [] }, alone, tail);
  let isSeen = false;
  let survives = false;
  const question: Question = {
    start: () => [],
    moment: (monitor, moment) => {
      if (!isWrong(world, moment)) return monitor;
      isSeen = true;
      return "broken";
    },
  };
  const asked = new Set([...everyStep(procedure.steps)].flatMap(({ name, needs }) => (needs ? [name] : [])));
  const explored = explore(world, question, limit, () => ({
    ...deaf,
    note: (code, step) => {
      if (code === "system/never-settles" || code === "flow/gap") survives = true;
      if (code === "flow/needs" && asked.has(step?.name ?? "")) survives = true;
    },
    handOver: (_code, step, begins, state) => {
      if (step.kind === "perform" && !begins.every((begin) => holds(world, state, begin))) survives = true;
    },
  }));
  if (explored.configs.length === 0) return "no start";
  if (explored.configs.some(({ end }) => end)) survives = true;
  if (!isSeen) return "never";
  return survives ? "sometimes" : "always";
}

/** With one fault in the equipment, what the card says for a wrong list is done only where that is seen. */
function neverAnswered(steps: readonly Step[], procedure: Procedure): readonly Step[] {
  return steps.map((each): Step => {
    const step = withInner(each, (inner) => neverAnswered(inner, procedure));
    const never = markLike(step, { name: "answer", needs: constant(false, procedure) });
    if (step.kind === "check") return { ...step, ifNot: [never] };
    return step.kind === "observe" ? { ...step, ifNot: [] } : step;
  });
}
