import { type Finding, type FindingKind, finding } from "../diagnostics/finding.js";
import type { Document, DocumentKind } from "../syntax/tree.js";
import { example } from "./example.js";
import { unknownName } from "./names/complaints.js";
import { scalarAt } from "./read.js";
import type { World } from "./system/system.js";

const PROJECT = "kind: project\nformat: 1\ntitle: Workboat (fictional)\n";

const SECOND =
  "kind: procedure\nid: pump-out\ntitle: Pump out again\ncategory: normal\nsteps:\n  - set: { pump: off }\n";

export const FILE_SAME_ID: FindingKind = {
  code: "file/same-id",
  severity: "error",
  summary: "Two files of one kind have one id.",
  why: "`next`, `perform` and `go-to` would not know which card is meant, and one card would hide the other.",
  bad: example({ files: { "procedures/pump-out-again.yaml": SECOND } }),
  good: example({
    files: { "procedures/pump-out-again.yaml": SECOND.replace("id: pump-out\n", "id: pump-out-again\n") },
  }),
};

const OTHER_SYSTEM =
  "kind: system\nid: deck\ntitle: Deck (fictional)\ncontrols:\n  winch: { label: WINCH, positions: [off, on] }\n";

export const SYSTEM_WHICH: FindingKind = {
  code: "system/which",
  severity: "error",
  summary: "It cannot be told for which system a file is.",
  why: "Its names mean something only against the equipment they belong to.",
  bad: example({ files: { "systems/deck.yaml": OTHER_SYSTEM } }),
  good: example({ procedure: "system: bilge", files: { "systems/deck.yaml": OTHER_SYSTEM } }),
};

export const FILE_SECOND_PROJECT: FindingKind = {
  code: "file/second-project",
  severity: "error",
  summary: "A project has two project files.",
  why: "Its categories, times and severities would be those of whichever file was read first.",
  bad: example({ files: { "project.yaml": PROJECT, "old.yaml": PROJECT } }),
  good: example({ files: { "project.yaml": PROJECT } }),
};

/** The one project file, if there is any. */
export function projectFile(documents: readonly Document[], report: (finding: Finding) => void): Document | undefined {
  const [first, ...others] = documents.filter(({ kind }) => kind === "project");
  for (const { idSpan } of first ? others : []) {
    const message = `${first!.idSpan.file.path} is the project's file already`;
    report(finding(FILE_SECOND_PROJECT, idSpan, message, { help: ["keep one file of `kind: project`"] }));
  }
  return first;
}

/** The files of a kind, each id once; a second file of an id is reported and left out. */
export function ofKind(
  documents: readonly Document[],
  kind: DocumentKind,
  report: (finding: Finding) => void,
): Map<string, Document> {
  const files = new Map<string, Document>();
  for (const document of documents.filter((each) => each.kind === kind)) {
    const first = files.get(document.id);
    if (first) report(sameId(document, first, kind));
    else files.set(document.id, document);
  }
  return files;
}

/** The system that a file is for: the one it names, or the only one there is. */
export function worldOf(
  document: Document,
  worlds: ReadonlyMap<string, World>,
  report: (finding: Finding) => void,
): World | undefined {
  const named = scalarAt(document.root, "system");
  if (named?.text) {
    const world = worlds.get(named.text);
    if (!world) report(unknownName(named.text, named.span, "the id of a system", worlds.keys()));
    return world;
  }
  const [only, another] = worlds.values();
  if (only && !another) return only;
  const message = only
    ? `the project has ${worlds.size} systems, and this file does not say which it is for`
    : "there is no system that this file could be for";
  const help = only
    ? `add \`system:\` with ${[...worlds.keys()].map((id) => `\`${id}\``).join(" or ")}`
    : "add a file of `kind: system`";
  return void report(finding(SYSTEM_WHICH, document.idSpan, message, { help: [help] }));
}

function sameId({ id, idSpan }: Document, first: Document, kind: DocumentKind): Finding {
  const message = `\`${id}\` is already the id of ${first.idSpan.file.path}`;
  return finding(FILE_SAME_ID, idSpan, message, {
    labels: [{ at: first.idSpan, text: `the first ${kind} of this id` }],
    help: ["give one of the two another `id`"],
    subject: { thing: id },
  });
}
