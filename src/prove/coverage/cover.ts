import { buildModel } from "../../machine/model.js";
import { EMPTY, NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime } from "../../machine/symbolic/search.js";
import type { FaultRow, LightLook, ProcedureCoverage, SlipRow } from "../../program/coverage.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { Tail } from "../../program/system.js";
import { contextOf, type Limits } from "../context.js";
import { cutSearch } from "./cutting.js";
import { estimateOf } from "./estimate.js";
import { lightLooks } from "./lights.js";
import { mergeFaults, mergeLights, mergeSlips } from "./merge.js";
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
  for (const tail of system.tails) {
    const twin = done.find((one) => [...one.fits].every((fit) => one.tail.fit.get(fit) === tail.fit.get(fit)));
    done.push(twin ? { ...twin, tail } : coverTail(program, procedure, tail, options));
  }
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
  };
}

interface TailCoverage {
  readonly tail: Tail;
  /** Fit variables that were asked for. */
  readonly fits: ReadonlySet<string>;
  readonly hasStart: boolean;
  readonly lights: readonly LightLook[];
  readonly faults: readonly FaultRow[];
  readonly slips: readonly SlipRow[];
}

function coverTail(program: Program, procedure: Procedure, tail: Tail, options: CoverOptions): TailCoverage {
  const system = program.systems.get(procedure.system)!;
  const model = buildModel(program, system, procedure, tail);
  const context = contextOf(program, procedure, model, options);
  const fits = model.world.fitsConsulted;
  const slips = slipsOf(procedure, system);
  const base = { tail, fits, hasStart: true, lights: [] };
  const asked = { program, procedure, tail, limits: options };
  try {
    const search = cutSearch(context, { at: new Map(), closed: new Set() }, []);
    if (search.start === EMPTY) return { ...base, hasStart: false, faults: [], slips: [] };
    search.run();
    const lights = lightLooks(context, search);
    options.progress?.("faults");
    const faults = faultsOnTail(context, tail);
    options.progress?.("slips");
    return { ...base, lights, faults, slips: slipsOnTail(asked, slips) };
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    return { ...base, faults: faultsOnTail(context, tail), slips: slipsOnTail(asked, slips) };
  }
}
