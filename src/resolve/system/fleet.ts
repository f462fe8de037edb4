import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Fit, Tail } from "../../program/system.js";
import type { Span } from "../../source/file.js";
import { type Entry, entry, type MapNode } from "../../syntax/tree.js";
import { unknownValue } from "../condition/complaints.js";
import { example } from "../example.js";
import { unknownName } from "../names/complaints.js";
import type { NameTable } from "../names/table.js";
import { asMap, entriesAt, firstEntries } from "../read.js";

const FIT = "fit:\n  siren: [fitted, absent]\n  hull: [steel, wood]\n";

export const FLEET_INCOMPLETE: FindingKind = {
  code: "fleet/incomplete",
  severity: "error",
  summary: "A member of the fleet does not say how it is fitted out.",
  why: "What a ship has decides which lines its card needs; a guess would prove another ship's card.",
  bad: example({ system: `${FIT}fleet:\n  Auk: { siren: fitted, hull: steel }\n  Tern: { hull: wood }` }),
  good: example({
    system: `${FIT}fleet:\n  Auk: { siren: fitted, hull: steel }\n  Tern: { siren: absent, hull: wood }`,
  }),
};

export const FLEET_TOO_MANY: FindingKind = {
  code: "fleet/too-many",
  severity: "error",
  summary: "The fit has so many combinations that they cannot all be proved.",
  why: "Without a `fleet` every combination of the fit is proved on its own, also those that no ship has.",
  bad: example({
    system: `fit:\n${Array.from({ length: 9 }, (_, n) => `  option-${n + 1}: [fitted, absent]\n`).join("")}`,
  }),
  good: example({
    system: `fit:\n${Array.from({ length: 9 }, (_, n) => `  option-${n + 1}: [fitted, absent]\n`).join("")}fleet:\n  Auk:\n${Array.from({ length: 9 }, (_, n) => `    option-${n + 1}: fitted\n`).join("")}`,
  }),
};

/** Without a `fleet` no more combinations than this are proved. */
const MOST_COMBINATIONS = 256;

export function buildFits(names: NameTable): Fit[] {
  const fits = [...names.families.values()].filter(({ kind, values }) => kind === "fit" && values.length > 0);
  return fits.map(({ id, values, span }) => ({ id, values, span }));
}

/** The members of the fleet; without one, every combination of the fit. Never empty. */
export function buildTails(system: MapNode, fits: readonly Fit[], report: (finding: Finding) => void): Tail[] {
  const written = entry(system, "fleet");
  const members = firstEntries(entriesAt(system, "fleet"));
  if (members.length === 0) return combinations(fits, written?.key.span ?? system.span, report);
  return members.map((member) => tailOf(member, fits, report));
}

function tailOf({ key, value }: Entry, fits: readonly Fit[], report: (finding: Finding) => void): Tail {
  const map = asMap(value);
  const entries = map ? firstEntries(map.entries) : [];
  for (const { key: name } of entries) {
    const ids = fits.map(({ id }) => id);
    if (!ids.includes(name.text)) report(unknownName(name.text, name.span, "one of the `fit` of this system", ids));
  }
  const fit = new Map<string, string>();
  for (const each of fits) {
    const given = entries.find((candidate) => candidate.key.text === each.id);
    fit.set(each.id, given ? fitValue(given, each, report) : missing(each, key.text, key.span, report));
  }
  return { name: key.text, fit, span: key.span };
}

function fitValue({ value }: Entry, { id, values }: Fit, report: (finding: Finding) => void): string {
  if (value.kind === "scalar" && values.includes(value.text)) return value.text;
  if (value.kind === "scalar") report(unknownValue(value.text, value.span, id, "value", values));
  return values[0]!;
}

function missing({ id, values }: Fit, tail: string, at: Span, report: (finding: Finding) => void): string {
  report(
    finding(FLEET_INCOMPLETE, at, `\`${tail}\` does not say its \`${id}\``, {
      help: [`write \`${id}:\` with ${values.map((value) => `\`${value}\``).join(" or ")}`],
      subject: { thing: tail },
    }),
  );
  return values[0]!;
}

function combinations(fits: readonly Fit[], span: Span, report: (finding: Finding) => void): Tail[] {
  const count = fits.reduce((product, { values }) => product * values.length, 1);
  if (count > MOST_COMBINATIONS) {
    const at = fits[0]?.span ?? span;
    const message = `the fit has ${count} combinations, more than ${MOST_COMBINATIONS}`;
    report(finding(FLEET_TOO_MANY, at, message, { help: ["list the ships that there are under `fleet`"] }));
    return [{ name: "", fit: new Map(fits.map(({ id, values }) => [id, values[0]!])), span }];
  }
  let rows: (readonly [string, string])[][] = [[]];
  for (const { id, values } of fits)
    rows = rows.flatMap((row) => values.map((value) => [...row, [id, value] as const]));
  return rows.map((row) => {
    const name = row.map(([id, value]) => `${id}=${value}`).join(", ");
    return { name, fit: new Map(row), span: fits[0]?.span ?? span };
  });
}
