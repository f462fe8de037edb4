import type { Step, StepCommon, Words } from "../../program/procedure.js";
import { type Span, spanning } from "../../source/file.js";
import { type Entry, entry, type MapNode, type Node } from "../../syntax/tree.js";
import { fitOnly, inStep } from "../condition/purpose.js";
import { readCondition } from "../condition/written.js";
import { unknownName } from "../names/complaints.js";
import { timeAt } from "../numbers.js";
import { asMap, isTrue, present, scalarAt, scalarsAt, textAt, valueAt } from "../read.js";
import type { Scene } from "../scene.js";
import { doneOf, type StepIndex, unknownStep } from "./done.js";
import type { StepPlan } from "./plan.js";
import type { ProcedureText, Project } from "./text.js";
import { readVerb } from "./verb.js";

/** What building the steps of one procedure needs. */
export interface Workshop {
  readonly project: Project;
  readonly index: StepIndex;
  /** Told of a `.side` in the procedure's own steps where there is no side. */
  readonly wantSide?: ((sides: readonly string[]) => boolean) | undefined;
}

/** The steps of plans, conditions read. A step that has a fault is left out, after its fault was reported. */
export function buildSteps(plans: readonly StepPlan[], workshop: Workshop): readonly Step[] {
  return plans.flatMap((plan) => {
    const step = buildStep(plan, workshop);
    return step ? [step] : [];
  });
}

/** Where conditions of a text are read, with no step of their own: `begins`, `ends`. */
export function sceneOf(text: ProcedureText, side: string | undefined, workshop: Workshop): Scene {
  const { project, index } = workshop;
  return {
    names: text.world.names,
    side,
    report: project.report,
    wantSide: workshop.wantSide,
    doneStep: (step) => {
      const plans = index.named(step.text);
      if (plans.length > 0) return doneOf(plans, step.span);
      return void project.report(unknownStep(step, `\`${text.id}\``, index.ids()));
    },
  };
}

function buildStep(plan: StepPlan, workshop: Workshop): Step | undefined {
  const scene = sceneFor(plan, workshop);
  checkRoles(plan, workshop.project);
  const common = commonOf(plan, scene, workshop.project);
  const verb = readVerb(plan, {
    project: workshop.project,
    scene,
    steps: (plans) => buildSteps(plans, workshop),
    sceneOf: (text, side) => ({ ...sceneOf(text, side, workshop), wantSide: undefined }),
  });
  return common && verb && { ...common, ...verb };
}

function sceneFor(plan: StepPlan, workshop: Workshop): Scene {
  const { frame, side } = plan;
  const { index, project } = workshop;
  const own = frame.called === undefined;
  return {
    ...sceneOf(frame.text, side, workshop),
    wantSide: own ? workshop.wantSide : undefined,
    doneStep: (step) => {
      const plans = index.named(step.text, plan);
      if (plans.length > 0) return doneOf(plans, step.span);
      return void project.report(unknownStep(step, `\`${frame.text.id}\``, index.ids(plan)));
    },
  };
}

function commonOf(plan: StepPlan, scene: Scene, project: Project): StepCommon | undefined {
  const { node, verb, name, id, number, by, copySide } = plan;
  const needs = readCondition(scalarAt(node, "needs"), scene, inStep("`needs`"));
  const applies = readCondition(scalarAt(node, "applies"), scene, fitOnly("`applies`"));
  const takes = timeAt(node, "takes", project.report) ?? project.stepTakes;
  const isHole = (entry(node, "needs") && !needs) || (entry(node, "applies") && !applies);
  if (isHole) return undefined;
  const said = { warning: textAt(node, "warning"), caution: textAt(node, "caution"), note: textAt(node, "note") };
  const record = { ref: textAt(node, "ref"), added: textAt(node, "added"), moved: textAt(node, "moved") };
  return {
    name,
    number,
    span: node.span,
    verb: caretOf(verb),
    by,
    takes,
    critical: isTrue(node, "critical"),
    ...present({ id, needs, applies, ...said, ...record, words: wordsOf(node), side: copySide }),
    ...present({ because: textAt(node, "because") }),
  };
}

/** The verb and its value, or the verb alone where the value is a list of lines below it. */
function caretOf({ key, value }: Entry): Span {
  return value.kind === "scalar" || value.flow ? spanning(key.span, value.span) : key.span;
}

function wordsOf(node: MapNode): Words | undefined {
  const written = valueAt(node, "words");
  if (written?.kind === "scalar" && written.text !== "") return { text: written.text };
  const map = asMap(written);
  const [challenge, response] = [map && textAt(map, "challenge"), map && textAt(map, "response")];
  return challenge !== undefined && response !== undefined ? { challenge, response } : undefined;
}

/** Everyone that a step names is one of the crew of the text it stands in. */
function checkRoles({ node, verb, frame }: StepPlan, { report }: Project): void {
  const { crew, id } = frame.text;
  const lanes = verb.key.text === "together" || verb.key.text === "say" ? rolesIn(verb.value) : [];
  for (const { text, span } of [...scalarsAt(node, "by"), ...lanes]) {
    if (!crew.has(text)) report(unknownName(text, span, `one of the \`crew\` of \`${id}\``, crew.keys()));
  }
}

function rolesIn(value: Node) {
  return value.kind === "map" ? value.entries.map(({ key }) => key) : [];
}
