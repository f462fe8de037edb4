import type { Condition } from "../../program/condition.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { withInner } from "../../program/rebuild.js";
import type { Change, Equipment, System } from "../../program/system.js";
import { walkSteps } from "../../program/walk.js";
import type { Span } from "../../source/file.js";
import { FAILURE_OVER, type MadeSlip, markAt, SLIPPED } from "./slips.js";

/** The thing that says which slip is made: `none`, or the id of one. */
export const SLIP = "the slip";

export interface Slipped {
  readonly program: Program;
  readonly system: System;
  readonly procedure: Procedure;
}

/** The program in which any one of the slips is made, or none: a state of the thing `SLIP`, from the start. */
export function withAnySlip(program: Program, procedure: Procedure, slips: readonly MadeSlip[]): Slipped {
  const system = program.systems.get(procedure.system)!;
  const which = slips.map(({ id }) => id);
  const failing = withFailures(choosing(system, which), slips, true);
  const steps = [...failuresAt(undefined, false, procedure.span, slips), ...chosen(procedure.steps, slips)];
  return over(program, failing, { ...procedure, steps });
}

/** The program in which this slip is made. */
export function withSlip(program: Program, procedure: Procedure, made: MadeSlip): Slipped {
  const { replaces, fails } = made;
  const marksAt = (step: Step | undefined, isInside: boolean) =>
    fails && fails.after === step && fails.isInside === isInside ? fails.marks : [];
  const within = (step: Step) =>
    withInner(step, (inner) => (inner.length > 0 ? [...marksAt(step, true), ...replace(inner)] : inner));
  const replace = (steps: readonly Step[]): readonly Step[] =>
    steps.flatMap((step) => [
      ...(replaces.get(step) ?? [within(step), ...keptFrom(step, [made])]),
      ...marksAt(step, false),
    ]);
  const steps = [...marksAt(undefined, false), ...replace(procedure.steps)];
  const system = withFailures(program.systems.get(procedure.system)!, [made], false);
  return over(program, system, { ...procedure, steps });
}

/** The slip that is made in any case, as if it had been chosen from none and that one. */
export function certain({ program, procedure, system }: Slipped): Slipped {
  const span = procedure.span;
  const is: Condition = { kind: "is", of: "outside", thing: SLIP, values: [ALWAYS], negated: false, span };
  return inPlace(program, choosing(system, [ALWAYS]), { ...procedure, begins: [...procedure.begins, is] });
}

const ALWAYS = "always";

function choosing(system: System, slips: readonly string[]): System {
  const states = ["none", ...slips];
  const slip = { kind: "outside", id: SLIP, label: SLIP, family: SLIP, states, span: system.span } as const;
  return { ...system, outside: new Map([...system.outside, [SLIP, slip]]) };
}

/** Marks are asked for in `begins`, where they demand nothing, so that they are kept. */
function over(program: Program, system: System, procedure: Procedure): Slipped {
  const { span } = procedure;
  const fails = system.equipment.has(FAILURE);
  const watches = fails ? watchesOf(procedure.steps).map((step) => isKept(step)) : [];
  const asked = [slipMade(span), ...watches, ...(fails ? [failureOver(span)] : [])];
  const marks: Condition = { kind: "or", of: [{ kind: "constant", value: true, span }, ...asked], span };
  const begins = [...procedure.begins, marks, ...(fails ? [isToCome(span)] : [])];
  return inPlace(program, system, { ...procedure, begins });
}

/** The program with the system and the procedure in place of those of their ids. */
export function inPlace(program: Program, system: System, procedure: Procedure): Slipped {
  const systems = new Map([...program.systems, [system.id, system]]);
  const procedures = new Map([...program.procedures, [procedure.id, procedure]]);
  return { system, procedure, program: { ...program, systems, procedures } };
}

/** What tells that the failure is to come, or has come: it comes once, with its mark. */
const FAILURE = "the failure";
const [TO_COME, COME] = ["to come", "come"];

/** What a story says of it. */
export const FAILURE_COMES = `${FAILURE} ${COME}`;

function isToCome(span: Span): Condition {
  return { kind: "is", of: "equipment", thing: FAILURE, values: [TO_COME!], negated: false, span };
}

/** The failures come when their mark is set, and not again. */
function withFailures(system: System, slips: readonly MadeSlip[], any: boolean): System {
  const { span } = system;
  if (!slips.some(({ fails }) => fails)) return system;
  const equipment = [...system.equipment.values()].map((piece) => {
    const changes = piece.changes.map((change, index): Change => {
      const here = slips.filter(({ fails }) => fails?.equipment === piece.id && fails.change === index);
      if (here.length === 0) return change;
      const values = here.map(({ id }) => id);
      const which: readonly Condition[] = any
        ? [{ kind: "is", of: "outside", thing: SLIP, values, negated: false, span }]
        : [];
      return { ...change, anytime: false, when: { kind: "and", of: [...which, slipMade(span), isToCome(span)], span } };
    });
    return { ...piece, changes };
  });
  const comes: Change = { from: [TO_COME!], to: COME!, when: slipMade(span), anytime: false, span };
  const states = [TO_COME!, COME!];
  const failure: Equipment = {
    kind: "equipment",
    id: FAILURE,
    label: FAILURE,
    family: FAILURE,
    states,
    changes: [comes],
    span,
  };
  return { ...system, equipment: new Map([...equipment, failure].map((piece) => [piece.id, piece])) };
}

export function failureOver(span: Span): Condition {
  return { kind: "done", step: FAILURE_OVER, span };
}

/** The watch is kept from here on: a mark after the line that begins it, where failures are asked about. */
export function isKept({ name, span }: Step): Condition {
  return { kind: "done", step: keptName(name), span };
}

/** The watch is kept, and what it watches is so. */
export function heldBefore(watch: Extract<Step, { readonly kind: "watch" }>): Condition {
  return { kind: "and", of: [isKept(watch), watch.condition], span: watch.span };
}

/** The same, recognised. */
export function isHeldBefore(condition: Condition, { name }: Step): boolean {
  const [first] = condition.kind === "and" ? condition.of : [];
  return first?.kind === "done" && first.step === keptName(name);
}

function keptName(watch: string): string {
  return `kept ${watch}`;
}

function keptFrom(step: Step, slips: readonly MadeSlip[]): readonly Step[] {
  return step.kind === "watch" && slips.some(({ fails }) => fails) ? [markAt(step, keptName(step.name))] : [];
}

/** Standing watches of the procedure, by the steps that begin them. */
export function watchesOf(steps: readonly Step[]): readonly Extract<Step, { readonly kind: "watch" }>[] {
  return [...walkSteps(steps)].filter((step) => step.kind === "watch");
}

/**
 * The steps with a choice at each of those that a slip makes different. A watch may be answered wherever it is kept, so one
 * that a slip only moves stays one and the same.
 */
function chosen(
  steps: readonly Step[],
  slips: readonly MadeSlip[],
  known: Map<Step, Step> = new Map(),
): readonly Step[] {
  const normalOf = (step: Step): Step => {
    const inside = failuresAt(step, true, step.span, slips);
    const normal =
      known.get(step) ??
      withInner(step, (inner) => (inner.length > 0 ? [...inside, ...chosen(inner, slips, known)] : inner));
    known.set(step, normal);
    return normal;
  };
  return steps.flatMap((step): readonly Step[] => {
    const here = slips.filter(({ replaces }) => replaces.has(step));
    const failures = [...keptFrom(step, slips), ...failuresAt(step, false, step.span, slips)];
    if (here.length === 0) return [normalOf(step), ...failures];
    const ways = here.map(({ id, replaces }) => ({
      id,
      steps: replaces.get(step)!.map((one) => (watchesOf([one]).length > 0 ? normalOf(one) : one)),
    }));
    return [choiceOf(step, [normalOf(step)], ways), ...failures];
  });
}

function failuresAt(
  step: Step | undefined,
  isInside: boolean,
  span: Span,
  slips: readonly MadeSlip[],
): readonly Step[] {
  const here = slips.flatMap(({ id, fails }) =>
    fails && fails.after === step && fails.isInside === isInside ? [{ id, steps: fails.marks }] : [],
  );
  if (here.length === 0) return [];
  const at = step ?? { number: "", span, verb: span, by: [] };
  return [choiceOf(at, [], here)];
}

/** As it is where none of these is made; else as they have it. */
function choiceOf(
  at: Pick<Step, "number" | "span" | "verb" | "by">,
  normal: readonly Step[],
  ways: readonly { readonly id: string; readonly steps: readonly Step[] }[],
): Step {
  const gate = (values: readonly string[], negated: boolean): Step => ({
    ...markAt(at, "way of a slip"),
    needs: { kind: "is", of: "outside", thing: SLIP, values, negated, span: at.span },
  });
  const options = [
    {
      title: "",
      steps: [
        gate(
          ways.map(({ id }) => id),
          true,
        ),
        ...normal,
      ],
    },
    ...ways.map(({ id, steps }) => ({ title: "", steps: [gate([id], false), ...steps] })),
  ];
  return { ...markAt(at, "choice of a slip"), kind: "choose", options };
}

export function slipMade(span: Span): Condition {
  return { kind: "done", step: SLIPPED, span };
}
