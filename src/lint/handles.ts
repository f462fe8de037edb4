import type { Step } from "../program/procedure.js";
import type { Control, Position, System } from "../program/system.js";
import { plainly } from "./text.js";

/** A control that a line is about, and the positions that the line wants it in. */
export interface Handle {
  readonly control: Control;
  readonly wanted: readonly Position[];
}

/** Where a line wants its controls: one that sets them, or looks at one of them. Nothing for other lines. */
export function handlesOf(step: Step, system: System): readonly Handle[] {
  return pairsOf(step).flatMap(({ id, positions }) => {
    const control = system.controls.get(id);
    return control
      ? [{ control, wanted: control.positions.filter((position) => positions.includes(position.id)) }]
      : [];
  });
}

/** True when the text is the position's placard, or its id, and nothing else. */
export function isPosition(text: string, { id, placard }: Position): boolean {
  return plainly(text) === plainly(placard) || plainly(text) === plainly(id);
}

function pairsOf(step: Step): readonly { readonly id: string; readonly positions: readonly string[] }[] {
  if (step.kind === "set" || step.kind === "verify") {
    return step.moves.flatMap((move) => move.controls.map((id) => ({ id, positions: [move.position] })));
  }
  if (step.kind !== "check" || step.condition.kind !== "is" || step.condition.negated) return [];
  return step.condition.of === "control" ? [{ id: step.condition.thing, positions: step.condition.values }] : [];
}
