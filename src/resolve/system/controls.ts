import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Control, Duty, Position } from "../../program/system.js";
import { entry, type MapNode, type ScalarNode } from "../../syntax/tree.js";
import { unknownValue } from "../condition/complaints.js";
import { example } from "../example.js";
import type { Member } from "../names/table.js";
import { timeAt, wholeAt } from "../numbers.js";
import { asMap, entriesAt, firstEntries, isTrue, present, scalarAt, scalarsAt, textAt } from "../read.js";
import { type Building, thingFields } from "./scope.js";

export const CONTROL_SPRING: FindingKind = {
  code: "control/spring",
  severity: "error",
  summary: "A spring, a guard or a duty of a control contradicts itself.",
  why: "A sprung position goes where it says when let go; a spring that leads to a sprung position never comes to rest, and a guard cannot hold what springs back.",
  bad: example({ controls: "key: { label: KEY, positions: [off, run, crank], springs: { run: crank, crank: run } }" }),
  good: example({ controls: "key: { label: KEY, positions: [off, run, crank], springs: { crank: run } }" }),
};

/** A control, or the guard over one. */
export function buildControl(member: Member, map: MapNode, building: Building): Control | undefined {
  const common = thingFields(member, map, building);
  if (member.family.guardOf !== undefined) return guardControl(member, common, map, building);
  const positions = positionsOf(map);
  if (positions.length < 2) return undefined;
  const guard = guardHeld(member, map, building) === undefined ? undefined : guardId(member);
  return {
    ...common,
    kind: "control",
    positions,
    springs: springsOf(member, map, building),
    ...present({ guard, duty: dutyOf(member, map, building) }),
    safety: isTrue(map, "safety"),
    ...placeOf(member.id, map, building),
  };
}

/** Where a thing is: as `layout` says, else only its panel. */
export function placeOf(id: string, map: MapNode, { places }: Building): Pick<Control, "panel" | "at"> {
  const place = places.get(id);
  return present({ panel: textAt(map, "panel") ?? place?.panel, at: place?.at });
}

function guardControl(
  member: Member,
  common: ReturnType<typeof thingFields>,
  map: MapNode,
  building: Building,
): Control | undefined {
  const { family, side } = member;
  const control = side === undefined ? (family.guardOf ?? "") : `${family.guardOf}.${side}`;
  const position = guardHeld(member, map, building);
  if (position === undefined) return undefined;
  const own = placeOf(member.id, map, building);
  return {
    ...common,
    label: `${common.label} guard`,
    kind: "control",
    positions: ["closed", "open"].map((id) => ({ id, placard: id.toUpperCase() })),
    springs: new Map(),
    guards: { control, position },
    safety: false,
    ...placeOf(control, map, building),
    ...own,
  };
}

function guardId({ family, side }: Member): string {
  return side === undefined ? `${family.id}.guard` : `${family.id}.${side}.guard`;
}

/** As a list the id is the placard, in capitals; as a map the words engraved. */
function positionsOf(map: MapNode): Position[] {
  const listed = [...new Set(scalarsAt(map, "positions").map(({ text }) => text))];
  const engraved = firstEntries(entriesAt(map, "positions")).map(({ key, value }) => {
    return { id: key.text, placard: value.kind === "scalar" ? value.text : key.text.toUpperCase() };
  });
  return [...listed.map((id) => ({ id, placard: id.toUpperCase() })), ...engraved];
}

function springsOf(member: Member, map: MapNode, { report }: Building): Map<string, string> {
  const { values, springs } = member.family;
  const good = new Map<string, string>();
  for (const { key, value } of firstEntries(entriesAt(map, "springs"))) {
    if (value.kind !== "scalar") continue;
    const strange = [key, value].filter(({ text }) => !values.includes(text));
    for (const { text, span } of strange) report(unknownValue(text, span, member.family.id, "position", values));
    if (strange.length > 0) continue;
    if (springs.has(value.text)) report(sprungToSprung(member, key, value));
    else good.set(key.text, value.text);
  }
  return good;
}

function sprungToSprung({ family }: Member, from: ScalarNode, to: ScalarNode): Finding {
  const message = `\`${from.text}\` springs to \`${to.text}\`, which is sprung itself`;
  return finding(CONTROL_SPRING, to.span, message, {
    help: ["name the position at which the control comes to rest"],
    subject: { thing: family.id },
  });
}

function guardHeld({ family }: Member, map: MapNode, { report }: Building): string | undefined {
  const held = scalarAt(map, "guard-holds");
  if (!held) return undefined;
  const positions = positionsOf(map).map(({ id }) => id);
  if (!positions.includes(held.text)) {
    const thing = family.guardOf ?? family.id;
    report(unknownValue(held.text, held.span, thing, "position", positions));
    return undefined;
  }
  if (!entriesAt(map, "springs").some(({ key }) => key.text === held.text)) return held.text;
  report(
    finding(CONTROL_SPRING, held.span, `a guard cannot hold \`${held.text}\`, which springs back when let go`, {
      help: ["name the position at which the control stands while the guard is closed"],
      subject: { thing: family.guardOf ?? family.id },
    }),
  );
  return undefined;
}

function dutyOf({ family }: Member, map: MapNode, { report }: Building): Duty | undefined {
  const written = entry(map, "duty");
  const duty = asMap(written?.value);
  if (!written || !duty) return undefined;
  const span = written.key.span;
  if (entriesAt(map, "springs").length === 0) {
    report(
      finding(CONTROL_SPRING, span, `\`${family.id}\` has a \`duty\` and no sprung position that it could limit`, {
        help: ["name the sprung position under `springs`, or leave `duty` out"],
        subject: { thing: family.id },
      }),
    );
    return undefined;
  }
  const limits = {
    on: timeAt(duty, "on", report),
    rest: timeAt(duty, "rest", report),
    tries: wholeAt(duty, "tries", report),
  };
  return { ...present(limits), span };
}
