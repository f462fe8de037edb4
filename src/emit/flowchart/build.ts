import type { Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { everyStep } from "../card/walk.js";
import { capitalised, sentenceOf, type Words } from "../card/wording.js";
import {
  checkFlow,
  chooseFlow,
  decideFlow,
  fork,
  ifFlow,
  observeFlow,
  repeatFlow,
  waitForFlow,
  watchFlow,
} from "./decisions.js";
import { goesOn, type SequenceFlow } from "./flow.js";
import { headed, joined, NOTHING, node, one, type Site, sequence, shape, titleOf } from "./nodes.js";
import { togetherFlow } from "./together.js";
import { letGoText, textOf } from "./words.js";

/** The procedure from its start to its ends as a flow. Parts stand in place; other procedures are one shape. */
export function flowOf(program: Program, procedure: Procedure, words: Words): SequenceFlow {
  const site: Site = { program, procedure, words, sayWho: severalAct(procedure), heavy: false, flowOf: stepsFlow };
  const start = node("start", "start", [procedure.title]);
  const body = stepsFlow(site, procedure.steps);
  const next = procedure.next ? [`Next: ${titleOf(program, procedure.next.procedure)}`] : [];
  const end = goesOn(body) ? [node("end", "end", ["End of procedure", ...next])] : [];
  return sequence([start, ...body.of, ...end]);
}

/** One who does all of it is named above the chart, and not at every shape. */
function severalAct(procedure: Procedure): boolean {
  return new Set(everyStep(procedure.steps).flatMap((step) => step.by)).size > 1;
}

function stepsFlow(site: Site, steps: readonly Step[]): SequenceFlow {
  let reached = true;
  const flows = steps.map((step) => {
    const flow = fitted(site, step, stepFlow(site, step));
    const drawn = reached ? flow : headed(flow, "Not reached");
    reached = goesOn(flow);
    return drawn;
  });
  return sequence(flows);
}

/** A step for some ships only: said above a single shape; several shapes are passed by on the other ships. */
function fitted(site: Site, step: Step, flow: SequenceFlow): SequenceFlow {
  if (!step.applies || flow.of.length === 0) return flow;
  const only = flow.of.length === 1 ? flow.of[0] : undefined;
  const condition = capitalised(sentenceOf(site.words, step.applies));
  if (only?.kind === "node")
    return sequence([{ ...only, node: { ...only.node, head: joined(only.node.head, condition) } }]);
  return sequence([fork(`${step.name}#fit`, `${condition}?`, { yes: flow, no: NOTHING })]);
}

function stepFlow(site: Site, step: Step): SequenceFlow {
  switch (step.kind) {
    case "section":
      return headed(stepsFlow(site, step.steps), `${step.number ? `${step.number} ` : ""}${step.title}`);
    case "memory":
      return headed(stepsFlow({ ...site, heavy: true }, step.steps), "From memory");
    case "perform":
      return performFlow(site, step);
    case "hold":
      return holdFlow(site, step);
    case "check":
      return checkFlow(site, step);
    case "wait-for":
      return waitForFlow(site, step);
    case "observe":
      return observeFlow(site, step);
    case "if":
      return ifFlow(site, step);
    case "decide":
      return decideFlow(site, step, step.ways, 0);
    case "choose":
      return sequence([chooseFlow(site, step, step.options)]);
    case "repeat":
      return repeatFlow(site, step);
    case "together":
      return togetherFlow(site, step);
    case "watch":
      return watchFlow(site, step);
    case "go-to":
      return sequence([shape(site, step, "end", [`Go to: ${titleOf(site.program, step.procedure)}`])]);
    case "finish":
      return sequence([shape(site, step, "end", textOf(site.words, step))]);
    case "set-aside":
      return sequence([shape(site, step, "aside", textOf(site.words, step))]);
    default:
      return one(site, step);
  }
}

function performFlow(site: Site, step: Step & { kind: "perform" }): SequenceFlow {
  if (step.target.kind === "part") return headed(stepsFlow(site, step.steps), capitalised(step.target.title));
  return sequence([shape(site, step, "predefined", [step.target.title])]);
}

function holdFlow(site: Site, step: Step & { kind: "hold" }): SequenceFlow {
  const inner = stepsFlow(site, step.steps);
  const held = shape(site, step, "process", textOf(site.words, step));
  const letGo = node(`${step.name}#let-go`, "process", [letGoText(site.words, step.moves)]);
  return sequence([held, inner, ...(inner.of.length > 0 && goesOn(inner) ? [letGo] : [])]);
}
