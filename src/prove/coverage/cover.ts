import { buildModel } from "../../machine/model.js";
import { EMPTY, NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime } from "../../machine/symbolic/search.js";
import type { LightLook, ProcedureCoverage } from "../../program/coverage.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { Tail } from "../../program/system.js";
import { contextOf, type Limits } from "../context.js";
import { cutSearch } from "./cutting.js";
import { lightLooks } from "./lights.js";
import { mergeFaults, mergeLights } from "./merge.js";
import { faultsOnTail } from "./reveal.js";

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
  return {
    procedure: procedure.id,
    tails: started.map(({ tail }) => tail.name),
    lights: mergeLights(started.map(({ lights }) => lights)),
    faults: {
      rows: mergeFaults(started.map(({ faults }) => faults)),
      withoutLogic: [...system.lights.values()].filter((one) => !one.litWhen && !one.flashingWhen).map(({ id }) => id),
    },
  };
}

interface TailCoverage {
  readonly tail: Tail;
  /** Fit variables that were asked for. */
  readonly fits: ReadonlySet<string>;
  readonly hasStart: boolean;
  readonly lights: readonly LightLook[];
  readonly faults: ReturnType<typeof faultsOnTail>;
}

function coverTail(program: Program, procedure: Procedure, tail: Tail, options: CoverOptions): TailCoverage {
  const system = program.systems.get(procedure.system)!;
  const model = buildModel(program, system, procedure, tail);
  const context = contextOf(program, procedure, model, options);
  const fits = model.world.fitsConsulted;
  try {
    const search = cutSearch(context, { at: new Map(), closed: new Set() }, []);
    if (search.start === EMPTY) return { tail, fits, hasStart: false, lights: [], faults: [] };
    search.run();
    const lights = lightLooks(context, search);
    options.progress?.("faults");
    const faults = faultsOnTail(context, tail);
    for (const { id } of [...system.lights.values(), ...system.controls.values()]) model.world.isFitted(id);
    return { tail, fits, hasStart: true, lights, faults };
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    return { tail, fits, hasStart: true, lights: [], faults: faultsOnTail(context, tail) };
  }
}
