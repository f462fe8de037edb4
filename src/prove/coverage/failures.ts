import { and, isIn } from "../../machine/expression.js";
import { buildModel } from "../../machine/model.js";
import { NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime } from "../../machine/symbolic/search.js";
import type { Condition } from "../../program/condition.js";
import type { FailureRow, SlipRow } from "../../program/coverage.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { System } from "../../program/system.js";
import { contextOf } from "../context.js";
import { ownSteps } from "../own.js";
import { cutSearch, valuesIn } from "./cutting.js";
import { type Asked, slipsOnTail } from "./slip-verdicts.js";
import { SLIP, slipMade, watchesOf, withAnySlip } from "./slipped.js";
import { FAILURE_OVER, type MadeSlip, markAt, SLIPPED } from "./slips.js";

const BATCH = 48;

/** Each `anytime` change after each own line after which it can happen, and what the card makes of it: one failure a run. */
export function failuresOnTail(asked: Asked): readonly FailureRow[] {
  const { procedure, program } = asked;
  const all = failuresOf(procedure, program.systems.get(procedure.system)!);
  const rows: FailureRow[] = [];
  for (let at = 0; at < all.length; at += BATCH) {
    const batch = all.slice(at, at + BATCH);
    try {
      const can = possible(asked, batch);
      rows.push(
        ...slipsOnTail(asked, can).map((row, index) => rowOf(can[index]!, row, program.systems.get(procedure.system)!)),
      );
    } catch (error) {
      if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
      const system = program.systems.get(procedure.system)!;
      rows.push(...batch.map((made) => rowOf(made, { slip: made.slip, verdict: "unproved" }, system)));
    }
  }
  return rows;
}

function failuresOf(procedure: Procedure, system: System): readonly MadeSlip[] {
  const places: readonly (Step | undefined)[] = [
    undefined,
    ...ownSteps(procedure.steps).filter(
      ({ kind }) => !["section", "memory", "finish", "set-aside", "go-to"].includes(kind),
    ),
  ];
  return [...system.equipment.values()].flatMap(({ id, changes }) =>
    changes.flatMap((change, index) =>
      change.anytime ? places.map((after) => failureAt(procedure, id, index, after)) : [],
    ),
  );
}

/** Two marks: one with which it comes, and one that is past only where no watch tells of it. */
function failureAt(procedure: Procedure, equipment: string, change: number, after: Step | undefined): MadeSlip {
  const { span } = procedure;
  const at = after ?? { number: "", span, verb: span, by: [] };
  const unseen = watchesOf(procedure.steps)
    .filter(({ ifNot }) => ifNot.length > 0)
    .map(
      ({ name, condition }): Condition => ({
        kind: "or",
        of: [{ kind: "not", of: { kind: "done", step: name, span }, span }, condition],
        span,
      }),
    );
  const made = slipMade(span);
  const needs: Condition = { kind: "and", of: [made, ...unseen], span };
  const { isMark: _isMark, ...comes } = markAt(at);
  const marks = [comes, { ...markAt(at, FAILURE_OVER), ...(unseen.length > 0 && { needs }) }];
  const step = after?.name ?? "";
  return {
    slip: { kind: "left out", step, number: after?.number ?? "" },
    id: `failure ${equipment} ${change} ${step}`,
    replaces: new Map(),
    fails: { equipment, change, after, marks },
  };
}

/** Those that can come about: the equipment can be in the state that it fails from. */
function possible({ program, procedure, tail, limits }: Asked, failures: readonly MadeSlip[]): readonly MadeSlip[] {
  const any = withAnySlip(program, procedure, failures);
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
