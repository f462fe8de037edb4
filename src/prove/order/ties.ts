import { type Variable, variablesOf } from "../../machine/expression.js";
import { buildModel, type Model } from "../../machine/model.js";
import { assigned } from "../../machine/operation.js";
import { coneOf, influencesOf } from "../../machine/slice.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { conditionsOfStep } from "../../program/walk.js";
import { canLeave, type Line, mayPass, stepsOf } from "./lines.js";

/** Two lines that could change places, alone or each with its section, and keep their order; by their places in the list of lines. */
export interface Tie {
  readonly first: number;
  readonly second: number;
  readonly because:
    | { readonly kind: "same"; readonly thing: string }
    /** One of them looks at what the other changes. */
    | { readonly kind: "looks"; readonly looker: number; readonly thing: string }
    /** One of them reads a gauge, and the model does not say all that moves it. */
    | { readonly kind: "reads"; readonly reader: number; readonly thing: string }
    /** One of them can end the card: what is done by then does not depend on the order. */
    | { readonly kind: "leaves"; readonly leaver: number };
}

/**
 * What keeps its order whatever the rules say: acts on one control, a look and the acts that can change what it sees, a reading of a gauge
 * and any act, and acts on either side of a check that can set the card aside. The prover would let some of them change places, since a list of lights can be right for
 * another reason than before; the look would no longer mean what it did.
 */
export function tiesOf(program: Program, procedure: Procedure, lines: readonly Line[]): readonly Tie[] {
  const system = program.systems.get(procedure.system);
  const touches = (system?.tails ?? []).map((tail) => {
    const model = buildModel(program, system!, procedure, tail);
    const influences = influencesOf(model);
    return lines.map((line) => touchOf(model, influences, stepsOf(line.step)));
  });
  return lines.flatMap((line, first) => {
    return lines.flatMap((other, second): Tie[] => {
      if (second <= first || !mayPass(line, other)) return [];
      const because = touches.map((on) => whyTied(on, first, second)).find((one) => one !== undefined);
      return because ? [{ first, second, because }] : (leaving(line, other, touches, first, second) ?? []);
    });
  });
}

/** What a line changes, and all that what it looks at depends on. */
interface Touch {
  readonly changes: ReadonlySet<Variable>;
  readonly sees: ReadonlySet<Variable>;
  /** A gauge that it reads. */
  readonly reads: string | undefined;
}

function whyTied(touches: readonly Touch[], first: number, second: number): Tie["because"] | undefined {
  const [one, other] = [touches[first]!, touches[second]!];
  const same = [...one.changes].find((variable) => other.changes.has(variable));
  if (same) return { kind: "same", thing: same.name };
  const later = [...one.changes].find((variable) => other.sees.has(variable));
  if (later) return { kind: "looks", looker: second, thing: later.name };
  const earlier = [...other.changes].find((variable) => one.sees.has(variable));
  if (earlier) return { kind: "looks", looker: first, thing: earlier.name };
  if (one.reads !== undefined && other.changes.size > 0) return { kind: "reads", reader: first, thing: one.reads };
  if (other.reads !== undefined && one.changes.size > 0) return { kind: "reads", reader: second, thing: other.reads };
  return undefined;
}

function leaving(
  line: Line,
  other: Line,
  touches: readonly (readonly Touch[])[],
  first: number,
  second: number,
): Tie[] | undefined {
  const acts = (at: number) => touches.some((on) => on[at]!.changes.size > 0);
  if (canLeave(line.step) && acts(second)) return [{ first, second, because: { kind: "leaves", leaver: first } }];
  if (canLeave(other.step) && acts(first)) return [{ first, second, because: { kind: "leaves", leaver: second } }];
  return undefined;
}

function touchOf(model: Model, influences: ReturnType<typeof influencesOf>, steps: readonly Step[]): Touch {
  const own = new Set(steps);
  const edges = model.graph.edges.filter(({ step }) => step && own.has(step));
  const changes = edges.flatMap(({ operations }) => operations.flatMap(assigned)).filter(isOfTheWorld);
  const seen = steps.flatMap((step) => seenBy(model, step));
  const [reads] = [...seen.flatMap(gaugesOf), ...steps.flatMap((step) => (step.kind === "record" ? [step.gauge] : []))];
  return { changes: new Set(changes), sees: coneOf(influences, seen), reads };
}

function gaugesOf({ role }: Variable): readonly string[] {
  if (role.kind === "gauge-place") return [role.gauge];
  return role.kind === "gauge-difference" ? [role.left, role.right] : [];
}

/** Not what is only remembered, such as that a step is done. */
function isOfTheWorld({ role }: Variable): boolean {
  return role.kind !== "memory" && role.kind !== "before" && role.kind !== "reading";
}

function seenBy({ world }: Model, step: Step): readonly Variable[] {
  const conditions = conditionsOfStep(step).flatMap((condition) => [...variablesOf(world.lower(condition))]);
  const lights =
    step.kind === "observe" ? step.lights.flatMap((light) => [...variablesOf(world.lowerLight(light, "lit"))]) : [];
  return [...conditions, ...lights];
}
