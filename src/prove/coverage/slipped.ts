import type { Condition } from "../../program/condition.js";
import type { ExpectedLight, Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { withInner } from "../../program/rebuild.js";
import type { System } from "../../program/system.js";
import type { Span } from "../../source/file.js";
import { type MadeSlip, markAt, SLIPPED } from "./slips.js";

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
  const states = ["none", ...slips.map(({ id }) => id)];
  const slip = { kind: "outside", id: SLIP, label: SLIP, family: SLIP, states, span: system.span } as const;
  const steps = chosen(procedure.steps, slips);
  return over(program, { ...system, outside: new Map([...system.outside, [SLIP, slip]]) }, { ...procedure, steps });
}

/** The program in which this slip is made. */
export function withSlip(program: Program, procedure: Procedure, { replaces }: MadeSlip): Slipped {
  const replace = (steps: readonly Step[]): readonly Step[] =>
    steps.flatMap((step) => replaces.get(step) ?? [withInner(step, replace)]);
  return over(program, program.systems.get(procedure.system)!, { ...procedure, steps: replace(procedure.steps) });
}

/** That a slip was made is asked in `begins`, where it demands nothing, so that it is marked. */
function over(program: Program, system: System, procedure: Procedure): Slipped {
  const { span } = procedure;
  const marks: Condition = { kind: "or", of: [{ kind: "constant", value: true, span }, slipMade(span)], span };
  const marked = { ...procedure, begins: [...procedure.begins, marks] };
  return {
    system,
    procedure: marked,
    program: {
      ...program,
      systems: new Map([...program.systems, [system.id, system]]),
      procedures: new Map([...program.procedures, [procedure.id, marked]]),
    },
  };
}

function chosen(steps: readonly Step[], slips: readonly MadeSlip[]): readonly Step[] {
  return steps.map((step): Step => {
    const here = slips.filter(({ replaces }) => replaces.has(step));
    const normal = withInner(step, (inner) => chosen(inner, slips));
    if (here.length === 0) return normal;
    const isOne = (ids: readonly string[], negated: boolean): Condition => ({
      kind: "is",
      of: "outside",
      thing: SLIP,
      values: ids,
      negated,
      span: step.span,
    });
    const gate = (condition: Condition): Step => ({ ...markAt(step, "way of a slip"), needs: condition });
    const options = [
      {
        title: "",
        steps: [
          gate(
            isOne(
              here.map(({ id }) => id),
              true,
            ),
          ),
          normal,
        ],
      },
      ...here.map(({ id, replaces }) => ({ title: "", steps: [gate(isOne([id], false)), ...replaces.get(step)!] })),
    ];
    const { needs: _needs, applies: _applies, ...rest } = markAt(step, "choice of a slip");
    return { ...rest, kind: "choose", options };
  });
}

export function slipMade(span: Span): Condition {
  return { kind: "done", step: SLIPPED, span };
}

/**
 * The procedure in which nobody goes on, once the slip is made, from a list of lights that is wrong or a check that fails:
 * it is caught there.
 */
export function unnoticed(slipped: Slipped): Slipped {
  const procedure = { ...slipped.procedure, steps: gated(slipped.procedure.steps, slipped.system) };
  const procedures = new Map([...slipped.program.procedures, [procedure.id, procedure]]);
  return { ...slipped, procedure, program: { ...slipped.program, procedures } };
}

function gated(steps: readonly Step[], system: System): readonly Step[] {
  return steps.map((step) => {
    const inner = withInner(step, (list) => gated(list, system));
    if (inner.kind !== "check" && inner.kind !== "observe") return inner;
    const { span, needs } = inner;
    const made = slipMade(span);
    const right = inner.kind === "check" ? untimed(inner.condition, system) : asListed(inner, system);
    const demanding = (gate: Condition): Condition => (needs ? { kind: "and", of: [needs, gate], span } : gate);
    const before: Step = { ...inner, needs: demanding({ kind: "not", of: made, span }) };
    const after: Step = { ...inner, needs: demanding({ kind: "and", of: [made, right], span }), ifNot: [] };
    const never: Step = { ...markAt(inner, "caught"), needs: { kind: "constant", value: false, span } };
    const blind: Step = after.kind === "check" ? { ...after, ifNot: [never] } : after;
    const { applies: _applies, ...way } = markAt(inner, "before or after a slip");
    const options = [before, blind].map((step) => ({ title: "", steps: [step] }));
    return { ...way, ...(inner.applies && { applies: inner.applies }), kind: "choose", options };
  });
}

/** Where a check can pass: a time is the crew's to keep, and a light without logic may read anything. */
function untimed(condition: Condition, system: System): Condition {
  const open = (part: Condition): Condition => {
    switch (part.kind) {
      case "and":
      case "or":
        return { ...part, of: part.of.map(open) };
      case "for":
        return part.of;
      default:
        return part;
    }
  };
  return namesUnjudged(condition, system) ? { kind: "constant", value: true, span: condition.span } : open(condition);
}

function namesUnjudged(condition: Condition, system: System): boolean {
  switch (condition.kind) {
    case "and":
    case "or":
      return condition.of.some((part) => namesUnjudged(part, system));
    case "not":
    case "for":
    case "checked":
      return namesUnjudged(condition.of, system);
    case "light":
      return !hasLogic(system, condition.light);
    default:
      return false;
  }
}

function asListed(step: Extract<Step, { readonly kind: "observe" }>, system: System): Condition {
  const { span } = step;
  const lights = step.lights.filter((light) => hasLogic(system, light));
  return {
    kind: "and",
    span,
    of: lights.map((light): Condition => {
      const lit = (negated: boolean): Condition => ({ kind: "light", light, state: "lit", negated, span });
      const fitted: Condition = { kind: "fitted", thing: light, span };
      const expected = expectedWhere(
        step.lit.filter((one) => one.light === light),
        span,
      );
      const isSo: Condition = {
        kind: "or",
        of: [
          { kind: "and", of: [lit(false), expected], span },
          { kind: "not", of: { kind: "or", of: [lit(false), expected], span }, span },
        ],
        span,
      };
      return { kind: "or", of: [{ kind: "not", of: fitted, span }, isSo], span };
    }),
  };
}

function expectedWhere(listed: readonly ExpectedLight[], span: Span): Condition {
  return { kind: "or", of: listed.map(({ when }) => when ?? { kind: "constant", value: true, span }), span };
}

function hasLogic(system: System, light: string): boolean {
  const declared = system.lights.get(light);
  return declared?.litWhen !== undefined || declared?.flashingWhen !== undefined;
}
