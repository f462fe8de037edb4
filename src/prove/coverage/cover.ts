import { buildModel } from "../../machine/model.js";
import { EMPTY, NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime } from "../../machine/symbolic/search.js";
import type { FailureRow, FaultRow, LeftOver, LightLook, ProcedureCoverage, SlipRow } from "../../program/coverage.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { Tail } from "../../program/system.js";
import { type Context, contextOf, type Limits } from "../context.js";
import { cutSearch } from "./cutting.js";
import { estimateOf } from "./estimate.js";
import { failuresOnTail } from "./failures.js";
import { KnownRows } from "./known-rows.js";
import { leftOverOn } from "./left-over.js";
import { lightLooks } from "./lights.js";
import { mergeFailures, mergeFaults, mergeLeftOver, mergeLights, mergeSlips } from "./merge.js";
import { faultsOnTail } from "./reveal.js";
import { slipsOnTail } from "./slip-verdicts.js";
import { slipsOf } from "./slips.js";

export interface CoverOptions extends Limits {
  /** Called when another question begins, with words for it. */
  readonly progress?: (about: string) => void;
}

/** What one procedure without errors catches, on every tail on which it can start. */
export function coverProcedure(program: Program, procedure: Procedure, options: CoverOptions): ProcedureCoverage {
  const system = program.systems.get(procedure.system)!;
  const done: TailCoverage[] = [];
  const known = { slips: new KnownRows(), failures: new KnownRows() };
  for (const tail of system.tails) done.push(coverTail(program, procedure, tail, { done, known }, options));
  const started = done.filter(({ hasStart }) => hasStart);
  const slips = mergeSlips(started.map((one) => one.slips));
  return {
    procedure: procedure.id,
    tails: started.map(({ tail }) => tail.name),
    lights: mergeLights(started.map(({ lights }) => lights)),
    faults: {
      rows: mergeFaults(started.map(({ faults }) => faults)),
      withoutLogic: [...system.lights.values()].filter((one) => !one.litWhen && !one.flashingWhen).map(({ id }) => id),
    },
    slips: { rows: slips, estimate: estimateOf(program, procedure, slips) },
    leftOver: mergeLeftOver(started.map(({ leftOver }) => leftOver)),
    failures: mergeFailures(started.map(({ failures }) => failures)),
  };
}

/** Names of the lines whose omission is silent on some tail: a rule, a promise or a need is broken, and nothing on the card shows it. */
export function killerItems(program: Program, procedure: Procedure, limits: Limits): ReadonlySet<string> {
  const system = program.systems.get(procedure.system)!;
  const omissions = slipsOf(procedure, system).filter(({ slip }) => slip.kind === "left out");
  const known = new KnownRows();
  const rows = system.tails.flatMap((tail) => slipsOnTail({ program, procedure, tail, limits, known }, omissions));
  return new Set(rows.flatMap(({ slip, verdict }) => (verdict === "silent" ? [slip.step] : [])));
}

interface TailCoverage {
  readonly tail: Tail;
  /** Fit variables on which lights and slips depend. */
  readonly fits: ReadonlySet<string>;
  readonly hasStart: boolean;
  readonly lights: readonly LightLook[];
  readonly faults: readonly FaultRow[];
  readonly slips: readonly SlipRow[];
  readonly leftOver: readonly LeftOver[];
  readonly failures: readonly FailureRow[];
}

/** What the tails before a tail came to. */
interface Before {
  readonly done: readonly TailCoverage[];
  readonly known: { readonly slips: KnownRows; readonly failures: KnownRows };
}

/** Tails that agree on every fit variable that the procedure asks for share lights and slips; faults are of the whole system. */
function coverTail(
  program: Program,
  procedure: Procedure,
  tail: Tail,
  { done, known }: Before,
  options: CoverOptions,
): TailCoverage {
  const system = program.systems.get(procedure.system)!;
  const model = buildModel(program, system, procedure, tail);
  const context = contextOf(program, procedure, model, options);
  const fits = new Set(model.world.fitsConsulted);
  const twin = done.find((one) => [...fits].every((fit) => one.tail.fit.get(fit) === tail.fit.get(fit)));
  const asked = { program, procedure, tail, limits: options };
  const lights = twin?.lights ?? looksAt(context);
  if (lights === "no start")
    return { tail, fits, hasStart: false, lights: [], faults: [], slips: [], leftOver: [], failures: [] };
  options.progress?.("faults");
  const faults = faultsOnTail(context, tail);
  options.progress?.("slips");
  const slips = twin?.slips ?? slipsOnTail({ ...asked, known: known.slips }, slipsOf(procedure, system));
  const leftOver = leftOverOn(context);
  const failures = twin?.failures ?? failuresOnTail({ ...asked, known: known.failures });
  return { tail, fits, hasStart: true, lights, faults, slips, leftOver, failures };
}

function looksAt(context: Context): readonly LightLook[] | "no start" {
  try {
    const search = cutSearch(context, { at: new Map(), closed: new Set() }, []);
    return search.start === EMPTY ? "no start" : lightLooks(context, search.run());
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return [];
    throw error;
  }
}
