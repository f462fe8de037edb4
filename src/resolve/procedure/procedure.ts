import type { Condition } from "../../program/condition.js";
import type { Procedure, ReadAs, StartsOn } from "../../program/procedure.js";
import type { MapNode } from "../../syntax/tree.js";
import { BEGINS, ENDS, type Purpose } from "../condition/purpose.js";
import { readCondition } from "../condition/written.js";
import { unknownName } from "../names/complaints.js";
import { asMap, itemsAt, present, scalarAt, scalarsAt, textAt, valueAt } from "../read.js";
import type { Scene } from "../scene.js";
import { StepIndex } from "./done.js";
import { procedureNamed } from "./elsewhere.js";
import { lightsNamed } from "./lights.js";
import { nameSteps } from "./naming.js";
import type { StepPlan } from "./plan.js";
import { planSteps } from "./planner.js";
import { buildSteps, sceneOf, type Workshop } from "./steps.js";
import { type ProcedureText, type Project, procedureId } from "./text.js";

/** A procedure and the plans of its steps, by which rules find what `done` means. Its `allows` are read once the rules are there. */
export interface Resolved {
  readonly text: ProcedureText;
  readonly procedure: Procedure;
  readonly index: StepIndex;
}

/** Resolves one procedure, for one side where it is there for each. `wantSide` is told of a `.side` of its own where there is no side. */
export function resolveProcedure(
  text: ProcedureText,
  side: string | undefined,
  project: Project,
  wantSide?: (sides: readonly string[]) => boolean,
): Resolved {
  const plans = planSteps(text, side, project);
  nameSteps(plans);
  const workshop: Workshop = { project, index: new StepIndex(plans), wantSide };
  return { text, procedure: procedureOf(text, side, plans, workshop), index: workshop.index };
}

function procedureOf(
  text: ProcedureText,
  side: string | undefined,
  plans: readonly StepPlan[],
  workshop: Workshop,
): Procedure {
  const { root, world, crew } = text;
  const { project } = workshop;
  const scene = sceneOf(text, side, workshop);
  return {
    id: procedureId(text, side),
    system: world.system.id,
    title: titleOf(text, side),
    category: categoryOf(root, project),
    readAs: readAsOf(root),
    crew,
    ...present({
      useWhen: textAt(root, "use-when"),
      summary: textAt(root, "summary"),
      reader: readerOf(text, project),
    }),
    ...present({ startsOn: startsOnOf(root, scene), revision: revisionOf(root), baseline: baselineOf(root) }),
    omits: omitsOf(root),
    begins: conditionsAt(root, "begins", scene, BEGINS),
    ends: conditionsAt(root, "ends", scene, ENDS),
    covers: coversOf(text, project),
    ...present({ next: nextOf(text, side, project) }),
    steps: buildSteps(plans, workshop),
    allows: [],
    span: text.idSpan,
  };
}

/** A procedure that is there for each side says which one it is. */
function titleOf({ root, id, sides }: ProcedureText, side: string | undefined): string {
  const title = textAt(root, "title") ?? id;
  return sides.length > 0 && side !== undefined ? `${title}, ${side}` : title;
}

function categoryOf(root: MapNode, { categories, report }: Project): string {
  const written = scalarAt(root, "category");
  if (!written?.text) return "normal";
  if (!categories.includes(written.text)) {
    report(unknownName(written.text, written.span, "a category of this project", categories));
  }
  return written.text;
}

const READ_AS: readonly ReadAs[] = ["read-and-do", "challenge-response", "flow"];

function readAsOf(root: MapNode): readonly ReadAs[] {
  const written = scalarsAt(root, "read-as").map(({ text }) => text);
  const known = READ_AS.filter((way) => written.includes(way)).sort((a, b) => written.indexOf(a) - written.indexOf(b));
  return known.length > 0 ? known : ["read-and-do"];
}

function readerOf({ root, crew, id }: ProcedureText, { report }: Project): string | undefined {
  const written = scalarAt(root, "reader");
  if (!written?.text) return undefined;
  if (crew.has(written.text)) return written.text;
  report(unknownName(written.text, written.span, `one of the \`crew\` of \`${id}\``, crew.keys()));
  return undefined;
}

function startsOnOf(root: MapNode, scene: Scene): StartsOn | undefined {
  const written = valueAt(root, "starts-on");
  if (written?.kind === "scalar" && written.text !== "") return { text: written.text, lights: [] };
  if (written?.kind !== "list") return undefined;
  const lights = scalarsAt(root, "starts-on").flatMap((name) => lightsNamed(name, scene));
  return { lights: [...new Set(lights.map(({ id }) => id))] };
}

function revisionOf(root: MapNode): Procedure["revision"] {
  const map = asMap(valueAt(root, "revision"));
  const number = map && textAt(map, "number");
  if (!map || number === undefined) return undefined;
  const dates = { date: textAt(map, "date"), effective: textAt(map, "effective"), by: textAt(map, "by") };
  return { number, ...present(dates) };
}

function baselineOf(root: MapNode): Procedure["baseline"] {
  const map = asMap(valueAt(root, "baseline"));
  const document = map && textAt(map, "document");
  if (!map || document === undefined) return undefined;
  return { document, ...present({ section: textAt(map, "section"), revision: textAt(map, "revision") }) };
}

function omitsOf(root: MapNode): Procedure["omits"] {
  return itemsAt(root, "omits").flatMap((item) => {
    const [ref, because] = item.kind === "map" ? [textAt(item, "ref"), textAt(item, "because")] : [];
    return ref === undefined || because === undefined ? [] : [{ ref, because, span: item.span }];
  });
}

function conditionsAt(root: MapNode, key: string, scene: Scene, purpose: Purpose): readonly Condition[] {
  return itemsAt(root, key).flatMap((item) => {
    const condition = readCondition(item.kind === "scalar" ? item : undefined, scene, purpose);
    return condition ? [condition] : [];
  });
}

function coversOf({ root, world }: ProcedureText, { report }: Project): Procedure["covers"] {
  const { lightSets } = world.system;
  return scalarsAt(root, "covers").flatMap(({ text, span }) => {
    if (lightSets.has(text)) return [{ set: text, span }];
    report(unknownName(text, span, "the name of a light set", lightSets.keys()));
    return [];
  });
}

function nextOf(text: ProcedureText, side: string | undefined, project: Project): Procedure["next"] {
  const written = scalarAt(text.root, "next");
  if (!written?.text) return undefined;
  const procedure = procedureNamed(written, text, side, project);
  return procedure === undefined ? undefined : { procedure, span: written.span };
}
