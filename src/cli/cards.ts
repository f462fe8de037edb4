import type { CardDocument } from "../emit/card/content.js";
import { cardDocument } from "../emit/card/document.js";
import type { Measure } from "../emit/drawing/measure.js";
import { measureOf } from "../emit/drawing/measure.js";
import { flowchartSvg } from "../emit/flowchart/flowchart.js";
import { htmlCard } from "../emit/html/card.js";
import { type IndexEntry, type IndexFile, indexPage } from "../emit/index-page.js";
import { textCard } from "../emit/text/card.js";
import type { Checked } from "../pipeline.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { loadFaces } from "../workspace/fonts.js";
import type { OutputFile } from "./write-files.js";

export interface CardFilesOptions {
  /** DRAFT goes across every page. */
  readonly draft: boolean;
  /** Whether to write the page that leads to all; not where only some cards were asked for. */
  readonly index: boolean;
}

/** Every file that is printed of the procedures that were proved, ready to be written; names are made from ids only. */
export async function cardFiles({ program, proofs }: Checked, options: CardFilesOptions): Promise<OutputFile[]> {
  const measure = measureOf(loadFaces());
  const procedures = proofs.flatMap(({ procedure }) => program.procedures.get(procedure) ?? []);
  const printed = procedures.map((procedure) => printCard(program, procedure, measure, options));
  const files = printed.flatMap((one) => one.files);
  if (!options.index || printed.length === 0) return files;
  const page = {
    title: program.project.title,
    draft: options.draft,
    cautions: [...new Set(printed.flatMap(({ cautions }) => cautions))],
    entries: printed.map(({ entry }) => entry),
    files: [],
  };
  return [...files, { name: "index.html", content: indexPage(page) }];
}

interface Printed {
  readonly files: readonly OutputFile[];
  readonly entry: IndexEntry;
  readonly cautions: readonly string[];
}

function printCard(program: Program, procedure: Procedure, measure: Measure, { draft }: CardFilesOptions): Printed {
  const document = cardDocument(program, procedure, { draft });
  const { cautions } = document;
  const made: readonly (IndexFile & { readonly content: string | Uint8Array })[] = [
    { label: "card", path: `${procedure.id}.html`, content: htmlCard(document) },
    { label: "text", path: `${procedure.id}.txt`, content: textCard(document) },
    {
      label: "flowchart",
      path: `${procedure.id}.flowchart.svg`,
      content: flowchartSvg(program, procedure, { measure, cautions }),
    },
  ];
  return {
    files: made.map(({ path, content }) => ({ name: path, content })),
    entry: entryOf(document, made),
    cautions,
  };
}

function entryOf(document: CardDocument, files: readonly IndexFile[]): IndexEntry {
  const { id, title, category, system, revision, useWhen } = document;
  return {
    id,
    title,
    category,
    system,
    ...(revision && { revision: revision.number }),
    ...(revision?.effective && { effective: revision.effective }),
    ...(useWhen && { useWhen }),
    files: files.map(({ label, path }) => ({ label, path })),
  };
}
