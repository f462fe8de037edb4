import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { ExpectedLight, IfNotLit, Step, Verb } from "../../program/procedure.js";
import type { Colour } from "../../program/system.js";
import { type Entry, entry, type Node, type ScalarNode } from "../../syntax/tree.js";
import { inStep } from "../condition/purpose.js";
import { readCondition } from "../condition/written.js";
import { example } from "../example.js";
import { twice } from "../names/complaints.js";
import type { Member } from "../names/table.js";
import { wholeOf } from "../numbers.js";
import { allThere, entriesAt, firstEntries, present, valueAt } from "../read.js";
import type { Scene } from "../scene.js";
import { COLOURS } from "../system/lights.js";
import { lightsNamed } from "./lights.js";
import type { StepPlan } from "./plan.js";

const LIGHTS =
  "lights:\n  flood: { label: FLOOD, lit-when: pump is on }\n  flow: { label: FLOW, lit-when: pump is on }";

export const OBSERVE_NOT_WATCHED: FindingKind = {
  code: "observe/not-watched",
  severity: "error",
  summary: "A light is expected, and the step does not look at it.",
  why: "What is listed must be seen to be lit, and every other light of the look to be out: a light outside the look is neither.",
  bad: example({ system: LIGHTS, steps: "- set: { pump: on }\n- observe: [flood]\n  lit: [flood, flow]" }),
  good: example({ system: LIGHTS, steps: "- set: { pump: on }\n- observe: [flood, flow]\n  lit: [flood, flow]" }),
};

type Observe = Extract<Verb, { kind: "observe" }>;

/** `steps` builds the steps of a branch. */
export function readObserve(
  plan: StepPlan,
  scene: Scene,
  steps: (plans: readonly StepPlan[]) => readonly Step[],
): Observe | undefined {
  const { node, verb } = plan;
  const lights = lightsOf(verb.value, scene);
  const lit = lights && litOf(valueAt(node, "lit"), lights, scene);
  const count = countOf(node, scene);
  if (!lights || !lit || lights.size === 0) return undefined;
  const set = verb.value.kind === "scalar" && isSet(verb.value, scene) ? verb.value.text : undefined;
  const countSpan = entry(node, "count")?.value.span;
  const ifNot = branchesFor(plan, lights, scene, steps);
  return { kind: "observe", lights: [...lights.keys()], lit, count, ifNot, ...present({ set, countSpan }) };
}

function isSet({ text }: ScalarNode, { names }: Scene): boolean {
  return names.families.get(text)?.kind === "light set";
}

function lightsOf(value: Node, scene: Scene): ReadonlyMap<string, Member> | undefined {
  const names = (value.kind === "list" ? value.items : [value]).filter((name) => name.kind === "scalar");
  const lights = new Map<string, Member>();
  const first = new Map<string, ScalarNode>();
  for (const name of names) {
    for (const light of lightsNamed(name, scene)) {
      const earlier = first.get(light.id);
      if (earlier) scene.report(twice(light.id, name.span, earlier.span, "a light of this look"));
      first.set(light.id, earlier ?? name);
      lights.set(light.id, light);
    }
  }
  return lights;
}

/** `none`, or a list of lights and of `{ LIGHT: condition }`. */
function litOf(
  value: Node | undefined,
  watched: ReadonlyMap<string, Member>,
  scene: Scene,
): readonly ExpectedLight[] | undefined {
  if (value?.kind === "scalar" && value.text === "none") return [];
  if (value?.kind !== "list") return undefined;
  const first = new Map<string, ScalarNode>();
  const listed = value.items.map((item) => expected(item, watched, first, scene));
  return allThere(listed) ? listed.flat() : undefined;
}

function expected(
  item: Node,
  watched: ReadonlyMap<string, Member>,
  first: Map<string, ScalarNode>,
  scene: Scene,
): readonly ExpectedLight[] | undefined {
  const conditional = item.kind === "map" ? item.entries[0] : undefined;
  const name = item.kind === "scalar" ? item : conditional?.key;
  if (!name) return undefined;
  const when = conditional && onlyWhen(conditional, scene);
  const lights = lightsNamed(name, scene).filter((light) => isExpected(light, name, watched, first, scene));
  if (lights.length === 0 || (conditional && !when)) return undefined;
  return lights.map(({ id }) => ({ light: id, ...present({ when }), span: item.span }));
}

function onlyWhen({ key, value }: Entry, scene: Scene) {
  const written = value.kind === "scalar" ? value : undefined;
  return readCondition(written, scene, inStep(`the case in which \`${key.text}\` is lit`));
}

function isExpected(
  { id }: Member,
  name: ScalarNode,
  watched: ReadonlyMap<string, Member>,
  first: Map<string, ScalarNode>,
  { report }: Scene,
): boolean {
  const earlier = first.get(id);
  if (earlier) report(twice(id, name.span, earlier.span, "a light that is listed as lit"));
  else if (!watched.has(id)) report(notWatched(id, name));
  first.set(id, earlier ?? name);
  return !earlier && watched.has(id);
}

function notWatched(light: string, { span }: ScalarNode): Finding {
  return finding(OBSERVE_NOT_WATCHED, span, `\`${light}\` is not among the lights that this step looks at`, {
    help: ["add it to the lights of `observe`, or take it out here"],
    subject: { thing: light },
  });
}

function countOf(node: StepPlan["node"], { report }: Scene): ReadonlyMap<Colour, number> {
  const count = new Map<Colour, number>();
  for (const { key, value } of firstEntries(entriesAt(node, "count"))) {
    const colour = COLOURS.find((each) => each === key.text);
    const number = value.kind === "scalar" ? wholeOf(value, report) : undefined;
    if (colour && number !== undefined) count.set(colour, number);
  }
  return count;
}

function branchesFor(
  { branches }: StepPlan,
  watched: ReadonlyMap<string, Member>,
  { report }: Scene,
  steps: (plans: readonly StepPlan[]) => readonly Step[],
): IfNotLit[] {
  return branches.map(({ key, plans, span }) => {
    if (key !== undefined && !watched.has(key)) {
      report(notWatched(key, { kind: "scalar", text: key, style: "plain", span }));
    }
    return { ...present({ light: key }), steps: steps(plans) };
  });
}
