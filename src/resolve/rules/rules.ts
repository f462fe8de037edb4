import type { Finding } from "../../diagnostics/finding.js";
import type { Condition } from "../../program/condition.js";
import type { Rule, RuleForm, Scope } from "../../program/rule.js";
import type { Document, MapNode, ScalarNode } from "../../syntax/tree.js";
import { entry } from "../../syntax/tree.js";
import { fitOnly, inRule, type Purpose, REQUIRED } from "../condition/purpose.js";
import { readCondition } from "../condition/written.js";
import { twice } from "../names/complaints.js";
import { timeAt, wholeAt } from "../numbers.js";
import { itemsAt, present, scalarAt, textAt } from "../read.js";
import type { Scene } from "../scene.js";
import type { World } from "../system/system.js";
import { doneInRule } from "./done.js";
import { type RuleProject, readIn } from "./where.js";

/** The rules of a file, each once for every side that it says `.side` of. `seen` holds the ids of the system's rules so far. */
export function resolveRules(
  document: Document,
  world: World,
  project: RuleProject,
  seen: Map<string, ScalarNode>,
): Rule[] {
  return itemsAt(document.root, "rules").flatMap((item) => {
    const id = item.kind === "map" ? scalarAt(item, "id") : undefined;
    if (item.kind !== "map" || !id) return [];
    const earlier = seen.get(id.text);
    if (earlier) project.report(twice(id.text, id.span, earlier.span, "a rule"));
    seen.set(id.text, earlier ?? id);
    return rulesOf(item, id, world, project);
  });
}

function rulesOf(map: MapNode, id: ScalarNode, world: World, project: RuleProject): Rule[] {
  const sides = sidesSaid(map, id, world, project);
  const copies = sides.length > 0 ? sides : [undefined];
  return copies.flatMap((side) => {
    const rule = ruleOf(map, id, side, world, project);
    return rule ? [rule] : [];
  });
}

/** The sides of the things of which the rule says `.side`: of the first, because the others must have the same. */
function sidesSaid(map: MapNode, id: ScalarNode, world: World, project: RuleProject): readonly string[] {
  let said: readonly string[] = [];
  const wantSide = (sides: readonly string[]) => {
    if (said.length === 0) said = sides;
    return true;
  };
  ruleOf(map, id, undefined, world, { ...project, report: () => {} }, wantSide);
  return said;
}

function ruleOf(
  map: MapNode,
  id: ScalarNode,
  side: string | undefined,
  world: World,
  project: RuleProject,
  wantSide?: Scene["wantSide"],
): Rule | undefined {
  const report = (finding: Finding) => project.report({ ...finding, subject: { ...finding.subject, rule: id.text } });
  const procedures = readIn(map, world, { ...project, report });
  const scene: Scene = { names: world.names, side, report, wantSide };
  const within = { ...scene, doneStep: doneInRule(scene, world, project, procedures) };
  const form = formOf(map, within);
  const scope = scopeOf(map, within);
  const applies = readCondition(scalarAt(map, "applies"), within, fitOnly("`applies`"));
  if (!form || !scope || (entry(map, "applies") && !applies)) return undefined;
  const said = { says: textAt(map, "says"), because: textAt(map, "because"), source: textAt(map, "source"), applies };
  return {
    id: side === undefined ? id.text : `${id.text}.${side}`,
    system: world.system.id,
    form,
    scope: { ...scope, ...present({ in: procedures }) },
    severity: severityOf(map),
    ...present(said),
    span: id.span,
  };
}

const SEVERITIES = ["error", "warning", "info"] as const;

function severityOf(map: MapNode): Rule["severity"] {
  return SEVERITIES.find((severity) => severity === textAt(map, "severity")) ?? "error";
}

/** The form of a rule by the keys it has; undefined where a part was reported, or is missing (the shape check's to say). */
function formOf(map: MapNode, scene: Scene): RuleForm | undefined {
  const read = (key: string, purpose: Purpose = inRule(`\`${key}\``)) =>
    readCondition(scalarAt(map, key), scene, purpose);
  for (const kind of ["never", "always"] as const) {
    const condition = read(kind);
    if (entry(map, kind)) return condition && { kind, condition };
  }
  if (entry(map, "at-most")) {
    const times = wholeAt(map, "at-most", scene.report);
    const trigger = read("times");
    return times !== undefined && trigger ? { kind: "at-most", times, trigger } : undefined;
  }
  const condition = read("require", REQUIRED);
  for (const kind of ["when", "while", "before"] as const) {
    const trigger = read(kind);
    if (entry(map, kind)) return condition && trigger && { kind, condition, trigger };
  }
  return owedOf(map, condition, read, scene);
}

function owedOf(
  map: MapNode,
  condition: Condition | undefined,
  read: (key: string) => Condition | undefined,
  { report }: Scene,
): RuleForm | undefined {
  const trigger = read("after");
  const end = scalarAt(map, "no-later-than");
  const atEnd = !end || end.text === "end";
  const deadline = atEnd ? "end" : read("no-later-than");
  const within = timeAt(map, "within", report);
  const hole = (entry(map, "after") && !trigger) || (entry(map, "within") && within === undefined);
  if (!condition || !deadline || hole) return undefined;
  return { kind: "after", condition, deadline, ...present({ trigger, within }) };
}

/** Undefined where a part of the scope was reported: a rule is never made wider than it was written. */
function scopeOf(map: MapNode, scene: Scene): Scope | undefined {
  const onlyAfter = readCondition(scalarAt(map, "only-after"), scene, inRule("`only-after`"));
  const onlyUntil = readCondition(scalarAt(map, "only-until"), scene, inRule("`only-until`"));
  const hole = (entry(map, "only-after") && !onlyAfter) || (entry(map, "only-until") && !onlyUntil);
  return hole ? undefined : present({ onlyAfter, onlyUntil });
}
