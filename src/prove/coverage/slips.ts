import type { Slip } from "../../program/coverage.js";
import type { Move, Procedure, Step } from "../../program/procedure.js";
import type { System } from "../../program/system.js";
import { innerSteps, walkSteps } from "../../program/walk.js";

/** A slip, with what is done in place of some steps; `SLIPPED` stands where it is made. */
export interface MadeSlip {
  readonly slip: Slip;
  readonly id: string;
  readonly replaces: ReadonlyMap<Step, readonly Step[]>;
  /** Of a failure. */
  readonly fails?: Failing;
}

/** A change of equipment by itself, which is never so in a proof. */
export interface Failing {
  readonly equipment: string;
  /** By its place among the changes. */
  readonly change: number;
  /** After this step, or at the beginning of each list inside it; absent: ahead of the first. */
  readonly after: Step | undefined;
  readonly isInside: boolean;
  readonly marks: readonly Step[];
}

/** The mark of a run in which the slip has been made. No author's name has a blank in it. */
export const SLIPPED = "slip made";

/** The mark of a run in which the failure has come and no watch tells of it. */
export const FAILURE_OVER = "failure over";

/** Every slip of a procedure's own lines: left out, done ahead of the one before, set one position beside, one side only. */
export function slipsOf(procedure: Procedure, system: System): readonly MadeSlip[] {
  const slips = ownLists(procedure.steps).flatMap((list) =>
    list.flatMap((step, index) => (isHeading(step) ? [] : slipsAt(list, index, system))),
  );
  const order = new Map([...walkSteps(procedure.steps)].map(({ name }, index) => [name, index]));
  return slips.sort((one, other) => order.get(one.slip.step)! - order.get(other.slip.step)!);
}

/** The lists of steps that belong to the procedure's own run, outer first; a part has no run of its own. */
function ownLists(steps: readonly Step[]): readonly (readonly Step[])[] {
  const inner = steps.flatMap((step) =>
    step.kind === "perform" && step.target.kind === "procedure" ? [] : innerSteps(step),
  );
  return [steps, ...inner.flatMap(ownLists)];
}

function isHeading({ kind }: Step): boolean {
  return kind === "section" || kind === "memory";
}

function slipsAt(list: readonly Step[], index: number, system: System): readonly MadeSlip[] {
  const step = list[index]!;
  const before = list[index - 1];
  const base = { step: step.name, number: step.number };
  const found: MadeSlip[] = [made({ ...base, kind: "left out" }, [[step, [markAt(step)]]])];
  if (before && !isHeading(before)) {
    const swapped = [markAt(step), step, before] as const;
    found.push(
      made({ ...base, kind: "early", detail: before.name }, [
        [before, swapped],
        [step, []],
      ]),
    );
  }
  if (step.kind !== "set") return found;
  step.moves.forEach((move, place) => {
    const instead = (others: readonly Move[]) =>
      [markAt(step), { ...step, moves: step.moves.toSpliced(place, 1, ...others) }] as const;
    for (const control of move.controls) {
      for (const position of neighbours(system, control, move.position)) {
        const moves = apart(move, control, { ...move, controls: [control], position });
        found.push(made({ ...base, kind: "beside", control, detail: position }, [[step, instead(moves)]]));
      }
    }
    if (move.choice === "each" && isOfSides(system, move.controls))
      for (const control of move.controls)
        found.push(made({ ...base, kind: "one side", control }, [[step, instead(apart(move, control))]]));
  });
  return found;
}

function made(slip: Slip, replaces: readonly (readonly [Step, readonly Step[]])[]): MadeSlip {
  const { kind, step, control = "", detail = "" } = slip;
  return { slip, id: [kind, step, control, detail].join(" "), replaces: new Map(replaces) };
}

/** The move with one of its controls done otherwise, or not at all; the order stays. */
function apart(move: Move, control: string, otherwise?: Move): readonly Move[] {
  if (move.choice === "either") return otherwise ? [{ ...otherwise, choice: "each" }] : [move];
  return move.controls.flatMap((one) => {
    if (one !== control) return [{ ...move, controls: [one] }];
    return otherwise ? [otherwise] : [];
  });
}

/** The positions next to the one that is meant; a sprung one cannot be set. */
function neighbours(system: System, control: string, position: string): readonly string[] {
  const declared = system.controls.get(control);
  if (!declared) return [];
  const ids = declared.positions.map(({ id }) => id);
  const at = ids.indexOf(position);
  return [ids[at - 1], ids[at + 1]].flatMap((id) => (id !== undefined && !declared.springs.has(id) ? [id] : []));
}

function isOfSides(system: System, controls: readonly string[]): boolean {
  return controls.length > 1 && controls.every((id) => system.controls.get(id)?.side !== undefined);
}

/** A line that does nothing but be done, and not even that is an act. */
export function markAt(
  { number, span, verb, by }: Pick<Step, "number" | "span" | "verb" | "by">,
  name = SLIPPED,
): Extract<Step, { readonly kind: "do" }> {
  return { kind: "do", text: "", marks: "place", name, number, span, verb, by, takes: 0, critical: false };
}
