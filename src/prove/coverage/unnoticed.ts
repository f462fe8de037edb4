import { isOfProvenLights } from "../../machine/graph/build.js";
import type { Condition } from "../../program/condition.js";
import type { ExpectedLight, Step } from "../../program/procedure.js";
import { withInner } from "../../program/rebuild.js";
import type { System } from "../../program/system.js";
import type { Span } from "../../source/file.js";
import { isJudged, untimed } from "./looks.js";
import { inPlace, type Slipped, slipMade } from "./slipped.js";
import { markAt } from "./slips.js";
import { type Usual, usualAt } from "./usual.js";

/**
 * The procedure in which nobody goes on, once the slip is made, from a list of lights that is wrong, or from a check that fails
 * and does not so where all is well: it is caught there.
 */
export function unnoticed(slipped: Slipped, usual: Usual): Slipped {
  const { system } = slipped;
  const procedure = {
    ...slipped.procedure,
    steps: gated(slipped.procedure.steps, { system, usual, known: new Map() }),
  };
  return inPlace(slipped.program, slipped.system, procedure);
}

interface Gating {
  readonly system: System;
  readonly usual: Usual;
  /** One step that stands in several places is made anew once. */
  readonly known: Map<Step, Step>;
}

function gated(steps: readonly Step[], gating: Gating): readonly Step[] {
  return steps.map((step) => {
    const made = gating.known.get(step) ?? gatedStep(step, gating);
    gating.known.set(step, made);
    return made;
  });
}

function gatedStep(step: Step, gating: Gating): Step {
  const inner = withInner(step, (list) => gated(list, gating));
  if (inner.kind === "check" && !isOfProvenLights(gating, inner.condition)) return gatedCheck(inner, gating);
  return inner.kind === "check" || inner.kind === "observe" ? gatedList(inner, gating.system) : inner;
}

function gatedCheck(step: Extract<Step, { readonly kind: "check" }>, { system, usual }: Gating): Step {
  const { span } = step;
  const before: Condition = { kind: "not", of: slipMade(span), span };
  const tellsNothing = usualAt(usual, "checks", step);
  return demanding(step, { kind: "or", of: [before, untimed(step.condition, system), tellsNothing], span });
}

/** What is answered for a lamp that is wrong is done before a slip only: after it that is where it is caught. */
function gatedList(step: Extract<Step, { readonly kind: "check" | "observe" }>, system: System): Step {
  const { span } = step;
  const made = slipMade(span);
  const right = step.kind === "check" ? step.condition : asListed(step, system);
  const before = demanding(step, { kind: "not", of: made, span });
  const after = { ...demanding(step, { kind: "and", of: [made, right], span }), ifNot: [] };
  const never: Step = { ...markAt(step, "caught"), needs: { kind: "constant", value: false, span } };
  const blind: Step = after.kind === "check" ? { ...after, ifNot: [never] } : after;
  const way = markAt(step, "before or after a slip");
  const options = [before, blind].map((step) => ({ title: "", steps: [step] }));
  return { ...way, ...(step.applies && { applies: step.applies }), kind: "choose", options };
}

function demanding<S extends Step>(step: S, gate: Condition): S {
  const { needs, span } = step;
  return { ...step, needs: needs ? { kind: "and", of: [needs, gate], span } : gate };
}

function asListed(step: Extract<Step, { readonly kind: "observe" }>, system: System): Condition {
  const { span } = step;
  const lights = step.lights.filter((light) => isJudged(system, light));
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
