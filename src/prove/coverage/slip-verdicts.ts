import type { Variable } from "../../machine/expression.js";
import { buildModel } from "../../machine/model.js";
import { NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime } from "../../machine/symbolic/search.js";
import type { Broken, SlipRow } from "../../program/coverage.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { System, Tail } from "../../program/system.js";
import { walkSteps } from "../../program/walk.js";
import { type Context, contextOf, type Limits } from "../context.js";
import { caughtAt } from "./caught.js";
import { brokenAtPlaces, confirmed } from "./confirm.js";
import { canInfluence, type Holding, holdingIn, isSameAsking, touchedBy } from "./influence.js";
import type { KnownRows } from "./known-rows.js";
import { certain, type Slipped, withAnySlip, withSlip } from "./slipped.js";
import type { MadeSlip } from "./slips.js";
import { type Asking, type OfPlaces, suspectsOf, whatOf } from "./suspects.js";
import { unnoticed } from "./unnoticed.js";
import { type Usual, usualWithoutSlip } from "./usual.js";
import { sliceOf } from "./waits.js";

/** Slips looked at in one search. */
const BATCH = 24;
/** Places of a drawing beyond which fewer slips are looked at together, and one made for certain is unproved. */
const MOST_PLACES = 40_000;

export interface Asked {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly tail: Tail;
  readonly limits: Limits;
  /** What the tails before this one came to. */
  readonly known?: KnownRows;
  /** Of failures: what has been told of each. One story is enough of one that breaks the same whenever it comes. */
  readonly told?: Set<string>;
}

/** What becomes of each slip on one tail: silent, caught or harmless. */
export function slipsOnTail(asked: Asked, slips: readonly MadeSlip[]): readonly SlipRow[] {
  const system = asked.program.systems.get(asked.procedure.system)!;
  try {
    const { context, holding, seen } = soundOf(asked, system);
    const usual = usualWithoutSlip(
      context,
      slips.some(({ fails }) => fails !== undefined),
    );
    const all = slips.map((made): Considered => {
      const touched = touchedBy(made, context);
      return {
        made,
        breaks: holding.filter(({ within }) => canInfluence(touched, within)).map(({ asking }) => asking),
        canShow: canInfluence(touched, seen),
      };
    });
    const relevant = all.filter(({ breaks, canShow }) => breaks.length > 0 || canShow);
    const rows = new Map<MadeSlip, SlipRow>();
    const size = batchSize(asked);
    for (let at = 0; at < relevant.length; at += size) {
      const some = relevant.slice(at, at + size);
      for (const [index, row] of rowsOnce({ ...asked, usual }, context, some).entries())
        rows.set(some[index]!.made, row);
    }
    return slips.map((made) => rows.get(made) ?? { slip: made.slip, verdict: "harmless" });
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    return slips.map(({ slip }) => ({ slip, verdict: "unproved" }));
  }
}

/** The procedure without slips: what holds of it, and what its looks and its ways depend on. */
interface Sound {
  readonly context: Context;
  readonly holding: readonly Holding[];
  readonly seen: ReadonlySet<Variable>;
}

function soundOf(asked: Asked, system: System): Sound {
  const { program, procedure, tail, limits } = asked;
  const ofProgram = sounds.get(program) ?? new Map<Procedure, Map<Tail, Sound>>();
  const row = ofProgram.get(procedure) ?? new Map<Tail, Sound>();
  const known = row.get(tail);
  if (known) return { ...known, context: { ...known.context, limits } };
  const context = contextFor({ ...asked, system }, tail, limits);
  const made = { context, holding: holdingIn(context), seen: sliceOf(context, []) };
  sounds.set(program, ofProgram.set(procedure, row.set(tail, made)));
  return made;
}

/** Kept: slips and failures are both held against it. */
const sounds = new WeakMap<Program, Map<Procedure, Map<Tail, Sound>>>();

interface AskedOfSlips extends Asked {
  readonly usual: Usual;
}

/**
 * What is put beside a line is woven with other lines: a second lane may stand where a way begins that nobody goes, and a watch is
 * answered at every place. The marks of a failure are few enough for the latter.
 */
export function batchSize({ procedure, told }: Asked): number {
  const alone: readonly Step["kind"][] = told ? ["together"] : ["together", "watch"];
  return [...walkSteps(procedure.steps)].some(({ kind }) => alone.includes(kind)) ? 1 : BATCH;
}

/** A slip with what it can have to do with. */
interface Considered {
  readonly made: MadeSlip;
  readonly breaks: readonly Asking[];
  /** Some look, or the way that a run takes, may differ by it. */
  readonly canShow: boolean;
}

/** Slips that come to the same as on a tail before are not asked about again, unless they are too many to compare at once. */
function rowsOnce(asked: AskedOfSlips, sound: Context, slips: readonly Considered[]): readonly SlipRow[] {
  const model = asked.known && modelWith(asked, slips);
  if (!model) return rowsOf(asked, slips);
  const ids = slips.map(({ made }) => made.id);
  return asked.known!.once(ids, [sound, model], (open) =>
    rowsOf(
      asked,
      open.map((index) => slips[index]!),
    ),
  );
}

/** Undefined where it is too large. */
function modelWith(
  { program, procedure, tail, limits }: AskedOfSlips,
  slips: readonly Considered[],
): Context | undefined {
  const [first, ...more] = slips.map(({ made }) => made);
  const slipped =
    first && more.length === 0
      ? certain(withSlip(program, procedure, first))
      : withAnySlip(program, procedure, [first!, ...more]);
  try {
    return contextFor(slipped, tail, limits);
  } catch (error) {
    if (error instanceof NodeLimit) return undefined;
    throw error;
  }
}

function rowsOf(asked: AskedOfSlips, slips: readonly Considered[]): readonly SlipRow[] {
  try {
    return slips.length === 1 ? [alone(asked, slips[0]!)] : batch(asked, slips);
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    if (error instanceof OutOfTime || slips.length === 1)
      return slips.map(({ made }) => ({ slip: made.slip, verdict: "unproved" }));
    const half = slips.length >> 1;
    return [...rowsOf(asked, slips.slice(0, half)), ...rowsOf(asked, slips.slice(half))];
  }
}

function batch(asked: AskedOfSlips, slips: readonly Considered[]): readonly SlipRow[] {
  const { program, procedure, tail, limits, usual, told } = asked;
  const any = withAnySlip(
    program,
    procedure,
    slips.map(({ made }) => made),
  );
  const wanted = (asking: Asking): ReadonlySet<number> =>
    new Set(slips.flatMap(({ breaks }, at) => (breaks.some((one) => isSameAsking(one, asking)) ? [at + 1] : [])));
  const silent = new Map<number, Broken | "unproved">();
  if (slips.some(({ breaks }) => breaks.length > 0)) {
    const context = contextFor(unnoticed(any, usual), tail, limits);
    const atPlaces = brokenAtPlaces(context, wanted);
    const isTold = (index: number) => told !== undefined && atPlaces.has(index);
    const moments = suspectsOf(context, (asking) => new Set([...wanted(asking)].filter((index) => !isTold(index))));
    for (const index of new Set([...atPlaces.keys(), ...moments.keys()])) {
      const places = atPlaces.get(index) ?? [];
      const found = broken(asked, slips[index - 1]!.made, [...(moments.get(index) ?? []), ...places], new Set(places));
      if (found) silent.set(index, found);
    }
  }
  const open = slips.flatMap(({ made, canShow }, at) => (canShow && !silent.has(at + 1) ? [made] : []));
  const caught =
    open.length === 0
      ? new Map<number, string>()
      : caughtAt(contextFor(withAnySlip(program, procedure, open), tail, limits), usual);
  return slips.map(({ made }, at) => rowOf(made, silent.get(at + 1), caught.get(open.indexOf(made) + 1)));
}

/**
 * What one slip breaks of what is asked about, made for certain; `known` are promises and needs that it is known to break. Of a
 * failure these come first.
 */
function broken(
  { program, procedure, tail, limits, usual, told }: AskedOfSlips,
  made: MadeSlip,
  asked: readonly Asking[],
  known: ReadonlySet<Asking> = new Set(),
): Broken | "unproved" | undefined {
  const context = () => contextFor(unnoticed(withSlip(program, procedure, made), usual), tail, limits);
  if (!told) return confirmed(context(), { asked, broken: known });
  const isTold = (asking: Asking) => told.has(keyOf(made, asking.kind, whatOf(asking)));
  const places = asked.filter(isOfPlaces);
  const again = places.find((asking) => known.has(asking) && isTold(asking));
  if (again) return { kind: again.kind, what: whatOf(again), story: [] };
  const moments = asked.filter((asking) => !isOfPlaces(asking));
  const found = confirmed(context(), { asked: [...places, ...moments], broken: known, isTold });
  if (found && found !== "unproved") told.add(keyOf(made, found.kind, found.what));
  return found;
}

function isOfPlaces(asking: Asking): asking is OfPlaces {
  return "condition" in asking;
}

function keyOf({ fails }: MadeSlip, kind: string, what: string): string {
  return JSON.stringify([fails?.equipment, fails?.change, kind, what]);
}

/** One slip, made for certain: nothing is drawn of the lines as they stand where it makes them different. */
function alone(asked: AskedOfSlips, { made, breaks, canShow }: Considered): SlipRow {
  const { program, procedure, tail, limits, usual } = asked;
  const found = breaks.length > 0 ? broken(asked, made, breaks) : undefined;
  const certainly = () => contextFor(certain(withSlip(program, procedure, made)), tail, limits);
  const step = canShow && !found && caughtAt(certainly(), usual).get(1);
  return rowOf(made, found, step || undefined);
}

function rowOf({ slip }: MadeSlip, broken: Broken | "unproved" | undefined, caught: string | undefined): SlipRow {
  if (broken === "unproved") return { slip, verdict: "unproved" };
  if (broken) return { slip, verdict: "silent", breaks: broken };
  return caught === undefined ? { slip, verdict: "harmless" } : { slip, verdict: "caught", caughtAt: caught };
}

function contextFor(
  { program, procedure, system }: Pick<Slipped, "program" | "procedure" | "system">,
  tail: Tail,
  limits: Limits,
): Context {
  const model = buildModel(program, system, procedure, tail);
  if (model.graph.nodes.length > MOST_PLACES) throw new NodeLimit();
  return contextOf(program, procedure, model, limits);
}
