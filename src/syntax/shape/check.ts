import type { Finding, FindingKind, Outcome } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { suggest } from "../../diagnostics/suggest.js";
import type { SourceFile, Span } from "../../source/file.js";
import { SMALL_REPOSITORY, withFile } from "../examples.js";
import { firstOf } from "../limits.js";
import { type Document, type DocumentKind, entry, type MapNode, type Node } from "../tree.js";
import { gluedColon } from "../yaml/content.js";
import type { Holes } from "../yaml/convert.js";
import { checkLists } from "./lists.js";
import { checkRules } from "./rules.js";
import { checkSchema } from "./schema.js";
import { described } from "./schema-values.js";
import { checkSteps } from "./steps.js";

export const UNKNOWN_KIND: FindingKind = {
  code: "shape/unknown-kind",
  severity: "error",
  summary: "The file does not say what it is, or says something unknown.",
  why: "What is in the file can only be read as a project, a system, rules or a procedure.",
  bad: withFile("start.yaml", SMALL_REPOSITORY["start.yaml"]!.replace("kind: procedure", "kind: checklist")),
  good: SMALL_REPOSITORY,
};

export const UNKNOWN_FORMAT: FindingKind = {
  code: "shape/unknown-format",
  severity: "error",
  summary: "The project is written in a version of the language that this program does not read.",
  why: "Read by the rules of another version, a card could come out different from what its author meant.",
  bad: withFile("project.yaml", SMALL_REPOSITORY["project.yaml"]!.replace("format: 1", "format: 2")),
  good: SMALL_REPOSITORY,
};

const KINDS: readonly DocumentKind[] = ["project", "system", "rules", "procedure"];

/**
 * The tree of a file as a document of its kind; without a value where it has none. The shapes themselves are in schema/, which editors
 * read too. Where the language left one open, these are the choices:
 *
 * - All scalars are texts to the schemas; where one wants a number or a word of truth it takes the text of one as well.
 * - `decide` is a list of `{ when, then }`, the last of which may be `{ otherwise: [steps] }`; `choose` a list of `{ title, steps }`.
 * - `if-not` is one step or a list; only that of an `observe` may be a map of light to steps, and is one if it has no verb among its keys.
 * - `set`, `verify`, `hold` take a map, and `set`, `verify` a list of single pairs; `press` and `ask` one pair.
 * - Ranges are `3 to 4.5`, `up to 4.5`, `from 3`; `moves: always` is a gauge that may change at any time.
 * - A named condition is a text, or a map with `means`; a light set is a list, or a map with `label` and `lights`.
 * - `starts-on` is a list of lights, or words; `allow` a list of `{ finding, step, rule, because }`.
 * - What every verb goes with is in verbs.ts, the forms of rules in rules.ts: checks of our own, because a schema's `oneOf` answers one mistake
 *   with as many lines as there are verbs.
 */
export function checkShape(file: SourceFile, root: Node, holes: Holes): Outcome<Document | undefined> {
  if (root.kind !== "map") return { value: undefined, findings: [notAMap(root)] };
  const kind = entry(root, "kind");
  const known = KINDS.find((name) => kind?.value.kind === "scalar" && kind.value.text === name);
  if (!known) return { value: undefined, findings: [unknownKind(root, kind?.value)] };
  const format = known === "project" ? checkFormat(root) : undefined;
  const findings = format ? [format] : checkContents(known, root, holes);
  return { value: { kind: known, ...identified(file, root), root }, findings };
}

function checkContents(kind: DocumentKind, root: MapNode, holes: Holes): Finding[] {
  const own = kind === "procedure" ? checkSteps(root, holes) : kind === "rules" ? checkRules(root, holes) : [];
  return [...checkSchema(kind, root, holes), ...firstOf(own), ...firstOf(checkLists(root))];
}

function notAMap(root: Node): Finding {
  const glued = root.kind === "scalar" ? gluedColon(root) : undefined;
  if (glued) return glued;
  const message = `the file holds ${described(root)} where keys belong`;
  return finding(UNKNOWN_KIND, root.span, message, {
    help: ["begin it with `kind: procedure` (or project, system, rules)"],
  });
}

function unknownKind(root: MapNode, value: Node | undefined): Finding {
  const kinds = "`project`, `system`, `rules` or `procedure`";
  if (!value) {
    const at = root.entries[0]?.key.span ?? root.span;
    return finding(UNKNOWN_KIND, at, "the file does not say its `kind`", { help: [`add \`kind:\` with ${kinds}`] });
  }
  const near = value.kind === "scalar" ? suggest(value.text, KINDS) : undefined;
  const help = near ? `did you mean \`${near}\`?` : `write ${kinds}`;
  return finding(UNKNOWN_KIND, value.span, `${described(value)} is not a kind of file`, { help: [help] });
}

function checkFormat(root: MapNode): Finding | undefined {
  const format = entry(root, "format")?.value;
  if (!format || (format.kind === "scalar" && format.text === "1")) return undefined;
  const message = `format ${described(format)} is not one that this program reads`;
  return finding(UNKNOWN_FORMAT, format.span, message, { help: ["write `format: 1`, or use a newer program"] });
}

function identified(file: SourceFile, root: MapNode): { readonly id: string; readonly idSpan: Span } {
  const given = entry(root, "id")?.value;
  if (given?.kind === "scalar") return { id: given.text, idSpan: given.span };
  const name = file.path
    .split("/")
    .at(-1)!
    .replace(/\.[^.]*$/, "");
  return { id: name, idSpan: entry(root, "kind")?.value.span ?? root.span };
}
