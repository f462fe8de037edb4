import { and, isIn } from "../../machine/expression.js";
import { buildModel } from "../../machine/model.js";
import { NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime } from "../../machine/symbolic/search.js";
import type { Condition } from "../../program/condition.js";
import type { FailureRow, SlipRow } from "../../program/coverage.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { System } from "../../program/system.js";
import { walkSteps } from "../../program/walk.js";
import { contextOf } from "../context.js";
import { cutSearch, valuesIn } from "./cutting.js";
import { mergeFailures } from "./merge.js";
import { type Asked, batchSize, slipsOnTail } from "./slip-verdicts.js";
import { certain, heldBefore, SLIP, slipMade, watchesOf, withAnySlip, withSlip } from "./slipped.js";
import { FAILURE_OVER, type Failing, type MadeSlip, markAt, SLIPPED } from "./slips.js";

/**
 * Each `anytime` change in the pause of each line, and what the card makes of it: one failure a run. A line with others inside
 * has a pause ahead of those, too; of both the worse is told.
 */
export function failuresOnTail(asked: Asked): readonly FailureRow[] {
  const { procedure, program } = asked;
  const system = program.systems.get(procedure.system)!;
  const all = failuresOf(procedure, system);
  const failing = { ...asked, told: new Set<string>() };
  const size = batchSize(failing);
  const rows: FailureRow[] = [];
  for (let at = 0; at < all.length; at += size) {
    const batch = all.slice(at, at + size);
    try {
      const can = possible(asked, batch);
      rows.push(...slipsOnTail(failing, can).map((row, index) => rowOf(can[index]!, row, system)));
    } catch (error) {
      if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
      rows.push(...batch.map((made) => rowOf(made, { slip: made.slip, verdict: "unproved" }, system)));
    }
  }
  return mergeFailures([rows]);
}

function failuresOf(procedure: Procedure, system: System): readonly MadeSlip[] {
  const places: readonly Pick<Failing, "after" | "isInside">[] = [
    { after: undefined, isInside: false },
    ...[...walkSteps(procedure.steps)].flatMap((after) => [
      ...(LOOK_OR_ACT_FIRST.has(after.kind) ? [{ after, isInside: true }] : []),
      ...(LEAVES.has(after.kind) ? [] : [{ after, isInside: false }]),
    ]),
  ];
  return [...system.equipment.values()].flatMap(({ id, changes }) =>
    changes.flatMap((change, index) =>
      change.anytime ? places.map((place) => failureAt(procedure, id, index, place)) : [],
    ),
  );
}

/** Lines that look or act ahead of what is inside them. */
const LOOK_OR_ACT_FIRST: ReadonlySet<Step["kind"]> = new Set([
  "check",
  "observe",
  "wait-for",
  "if",
  "decide",
  "hold",
  "repeat",
]);

/** Nothing comes after these, or they are but headings of others. */
const LEAVES: ReadonlySet<Step["kind"]> = new Set(["section", "memory", "finish", "set-aside", "go-to"]);

function failureAt(
  procedure: Procedure,
  equipment: string,
  change: number,
  { after, isInside }: Pick<Failing, "after" | "isInside">,
): MadeSlip {
  const { span } = procedure;
  const at = after ?? { number: "", span, verb: span, by: [] };
  const step = after?.name ?? "";
  return {
    slip: { kind: "left out", step, number: after?.number ?? "" },
    id: `failure ${equipment} ${change} ${isInside ? "inside" : "after"} ${step}`,
    replaces: new Map(),
    fails: { equipment, change, after, isInside, marks: marksOf(procedure, at) },
  };
}

/**
 * Two marks: with the first it comes, which is an act; the second is past only where no watch tells of it. A watch tells of what
 * was so until then: each case of which watches are kept and hold has marks of its own.
 */
function marksOf(procedure: Procedure, at: Pick<Step, "number" | "span" | "verb" | "by">): readonly Step[] {
  const { span } = procedure;
  const all = (of: readonly Condition[]): Condition => ({ kind: "and", of, span });
  const not = (of: Condition): Condition => ({ kind: "not", of, span });
  const comes = { ...markAt(at), marks: "failure" } as const;
  const over = markAt(at, FAILURE_OVER);
  let cases: { readonly before: readonly Condition[]; readonly after: readonly Condition[] }[] = [
    { before: [not(slipMade(span))], after: [slipMade(span)] },
  ];
  for (const watch of watchesOf(procedure.steps)) {
    if (watch.ifNot.length === 0) continue;
    const holds = heldBefore(watch);
    cases = cases.flatMap(({ before, after }) => [
      { before: [...before, not(holds)], after },
      { before: [...before, holds], after: [...after, watch.condition] },
    ]);
  }
  if (cases.length === 1) return [comes, over];
  const options = cases.map(({ before, after }) => ({
    title: "",
    steps: [
      { ...comes, needs: all(before) },
      { ...over, needs: all(after) },
    ],
  }));
  return [{ ...markAt(at, "watches when it fails"), kind: "choose", options }];
}

/** Those that can come about: the equipment can be in the state that it fails from. */
function possible(asked: Asked, failures: readonly MadeSlip[]): readonly MadeSlip[] {
  const { program, procedure, tail, limits } = asked;
  const [only] = failures;
  const any =
    failures.length === 1 && only
      ? certain(withSlip(program, procedure, only))
      : withAnySlip(program, procedure, failures);
  const model = buildModel(any.program, any.system, any.procedure, tail);
  const context = contextOf(any.program, any.procedure, model, limits);
  const { world } = model;
  const slip = world.outside(SLIP)!;
  const search = cutSearch(context, { at: new Map(), closed: new Set() }, [slip]).run();
  const { space } = search;
  const can = new Set<number>();
  for (const edge of model.graph.edges) {
    if (edge.step?.name !== SLIPPED) continue;
    for (const value of valuesIn(search, search.reachedAt(edge.from.id), slip)) {
      const fails = failures[value - 1]?.fails;
      const piece = fails && world.system.equipment.get(fails.equipment);
      const variable = piece && world.equipment(piece.id);
      if (!fails || !piece || !variable || !space.has(variable)) continue;
      const from = piece.changes[fails.change]!.from.map((state) => world.valueOf(piece.id, state));
      const failing = space.set(and(isIn(variable, from), isIn(slip, [value])));
      if (space.bdd.and(search.reachedAt(edge.from.id), failing) !== 0) can.add(value);
    }
  }
  return failures.filter((_, index) => can.has(index + 1));
}

function rowOf({ fails }: MadeSlip, { verdict, caughtAt, breaks }: SlipRow, system: System): FailureRow {
  const change = system.equipment.get(fails!.equipment)!.changes[fails!.change]!;
  const outcome = ({ silent: "unanswered", caught: "answered", harmless: "harmless", unproved: "unproved" } as const)[
    verdict
  ];
  return {
    equipment: fails!.equipment,
    from: change.from.join(" or "),
    to: change.to,
    ...(fails!.after && { step: fails!.after.name }),
    verdict: outcome,
    ...(caughtAt !== undefined && { answeredBy: caughtAt }),
    ...(breaks && { breaks }),
  };
}
