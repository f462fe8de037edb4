import { CATALOGUE, KIND_OF } from "../../catalogue.js";
import type { FindingKind } from "../../diagnostics/finding.js";
import { suggest } from "../../diagnostics/suggest.js";
import { wrapped } from "../../report/frame.js";
import { harmless } from "../../report/width.js";
import { CannotWork } from "../../workspace/host.js";
import { results } from "../process.js";

/**
 * Prints the page of a finding's code, why a step is there, or which steps keep a rule; without a name, the list of codes. Throws
 * `CannotWork` for a name that nothing has.
 */
export async function explain(
  what: string | undefined,
  paths: readonly string[] = [],
  options: { readonly timeLimit?: number } = {},
): Promise<void> {
  const kind = what === undefined ? undefined : KIND_OF.get(what);
  if (kind || what === undefined) return results(kind ? page(kind) : listOfCodes());
  if (what.includes("/")) throw unknownCode(what);
  const { explainStep, explainRule } = await import("./why.js");
  return what.includes(":") ? explainStep(what, paths, options) : explainRule(what, paths, options);
}

function unknownCode(code: string): CannotWork {
  const near = suggest(code, KIND_OF.keys());
  return new CannotWork(
    `no finding has the code \`${code}\``,
    near ? `did you mean \`${near}\`?` : "`proofcard explain` lists the codes",
  );
}

function listOfCodes(): string {
  const width = Math.max(...CATALOGUE.map((kind) => kind.code.length));
  return CATALOGUE.map((kind) => `${kind.code.padEnd(width)}  ${kind.severity.padEnd(7)}  ${kind.summary}\n`).join("");
}

function page(kind: FindingKind): string {
  const lines = [
    `${kind.code} (${kind.severity})`,
    ...paragraph(kind.summary),
    "",
    "Why",
    ...paragraph(kind.why),
    ...(Object.keys(kind.bad).length > 0 ? examples(kind) : []),
  ];
  return `${lines.join("\n").trimEnd()}\n`;
}

/** The bad example whole; of the good one what is other. */
function examples({ bad, good }: FindingKind): string[] {
  return ["", "Raises it", ...repository(bad, {}), "Mended", ...repository(good, bad)];
}

function paragraph(text: string): string[] {
  return wrapped(text, 96).map((line) => `  ${line}`);
}

/** The files that make the difference, whole; those that are the same in both examples are named. */
function repository(files: Readonly<Record<string, string>>, other: Readonly<Record<string, string>>): string[] {
  const names = Object.keys(files);
  const changed = names.filter((name) => files[name] !== other[name]);
  const same = names.filter((name) => files[name] === other[name]);
  const gone = Object.keys(other).filter((name) => !(name in files));
  return [
    ...changed.flatMap((name) => [`  ${name}`, ...indented(files[name]!), ""]),
    ...(gone.length > 0 ? [`  (without ${gone.join(", ")})`, ""] : []),
    ...(same.length > 0 ? [`  (beside ${same.join(", ")}, the same in both)`, ""] : []),
  ];
}

const LONGEST = 2000;

function indented(text: string): string[] {
  const shown = text.length > LONGEST ? `${text.slice(0, LONGEST)}...` : text;
  return harmless(shown)
    .trimEnd()
    .split("\n")
    .map((line) => `    ${line}`.trimEnd());
}
