import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Condition } from "../../program/condition.js";
import type { Change, Equipment, NamedCondition, Outside } from "../../program/system.js";
import { entry, type MapNode, type Node, type ScalarNode } from "../../syntax/tree.js";
import { unknownValue } from "../condition/complaints.js";
import { inSystem } from "../condition/purpose.js";
import { readCondition } from "../condition/written.js";
import { example } from "../example.js";
import type { Member } from "../names/table.js";
import { timeRangeAt } from "../numbers.js";
import { itemsAt, present, scalarAt, scalarsAt, textAt } from "../read.js";
import { type Building, conditionAt, thingFields } from "./scope.js";

const MOTOR = "equipment:\n  motor:\n    label: Motor\n    shown: sound\n    states: [still, turning]\n    changes:\n";

export const CHANGE_WITHOUT_CAUSE: FindingKind = {
  code: "change/without-cause",
  severity: "error",
  summary: "A change of equipment that nothing causes, or that changes nothing.",
  why: "Without `when` or `takes` a change would happen at once and for ever, so its first state could never be seen; from a state to itself nothing changes.",
  bad: example({ system: `${MOTOR}      - { from: still, to: turning }` }),
  good: example({ system: `${MOTOR}      - { from: still, to: turning, when: pump is on }` }),
};

export function buildEquipment(member: Member, map: MapNode, building: Building): Equipment | undefined {
  const states = member.family.values;
  if (states.length < 2) return undefined;
  return {
    ...thingFields(member, map, building),
    kind: "equipment",
    states,
    changes: itemsAt(map, "changes").flatMap((change) => changeOf(change, member, building)),
    ...present({ shown: textAt(map, "shown") }),
  };
}

export function buildOutside(member: Member, map: MapNode, building: Building): Outside | undefined {
  const states = member.family.values;
  if (states.length < 2) return undefined;
  return {
    ...thingFields(member, map, building),
    kind: "outside",
    states,
    ...present({ shown: textAt(map, "shown") }),
  };
}

/** In the short form the node is the condition itself. One that cannot be read is never so, and was reported. */
export function buildNamedCondition(member: Member, map: MapNode, building: Building): NamedCondition {
  const { node } = member.family;
  const place = inSystem("a named condition");
  const scene = { names: building.names, report: building.report, side: member.side };
  const means =
    node.kind === "scalar" ? readCondition(node, scene, place) : conditionAt(map, "means", member, building, place);
  return {
    ...thingFields(member, map, building),
    kind: "condition",
    means: means ?? { kind: "constant", value: false, span: node.span },
    ...present({ shown: textAt(map, "shown") }),
  };
}

function changeOf(node: Node, member: Member, building: Building): Change[] {
  const to = node.kind === "map" ? scalarAt(node, "to") : undefined;
  if (node.kind !== "map" || !to) return [];
  const written = scalarsAt(node, "from");
  const named = [...written, to].map((state) => isState(state, member, building));
  const from = [...new Set(written.map(({ text }) => text))];
  if (from.length === 0 || named.includes(false)) return [];
  const anytime = textAt(node, "when") === "anytime";
  const when = anytime ? undefined : conditionAt(node, "when", member, building, inSystem("`when`"));
  const takes = timeRangeAt(node, "takes", building.report);
  if (isHole(node, anytime, when, takes)) return [];
  const complaint = withoutCause(node, from, to, member);
  if (complaint) building.report(complaint);
  return complaint ? [] : [{ from, to: to.text, ...present({ when, takes }), anytime, span: node.span }];
}

/** True where a cause is written and could not be read: such a change is left out, never made free. */
function isHole(node: MapNode, anytime: boolean, when: Condition | undefined, takes: unknown): boolean {
  return (
    (entry(node, "when") !== undefined && !anytime && !when) ||
    (entry(node, "takes") !== undefined && takes === undefined)
  );
}

function isState({ text, span }: ScalarNode, { family }: Member, { report }: Building): boolean {
  if (family.values.includes(text)) return true;
  report(unknownValue(text, span, family.id, "state", family.values));
  return false;
}

function withoutCause(node: MapNode, from: readonly string[], to: ScalarNode, { family }: Member): Finding | undefined {
  const subject = { thing: family.id };
  if (from.includes(to.text)) {
    const help = [`leave \`${to.text}\` out of \`from\``];
    return finding(CHANGE_WITHOUT_CAUSE, to.span, `a change from \`${to.text}\` to itself changes nothing`, {
      help,
      subject,
    });
  }
  if (entry(node, "when") || entry(node, "takes")) return undefined;
  const message = `nothing causes the change of \`${family.id}\` to \`${to.text}\``;
  return finding(CHANGE_WITHOUT_CAUSE, node.span, message, {
    help: ["say `when` it happens, or how long it `takes`; `when: anytime` is a failure"],
    subject,
  });
}
