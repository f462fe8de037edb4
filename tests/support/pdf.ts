import { getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";

/** What an independent reader (pdf.js) finds in a PDF file. */
export interface ReadPdf {
  readonly pages: readonly ReadPage[];
  readonly title: string;
  readonly language: string;
  readonly marked: boolean;
  readonly outline: readonly { readonly title: string; readonly items: readonly { readonly title: string }[] }[];
}

export interface ReadPage {
  readonly width: number;
  readonly height: number;
  /** Runs of text in content order, decoration left out, with their place from the top left and their size, in points. */
  readonly texts: readonly ReadText[];
  /** Lines of text by their base line, runs joined with a space, dots of leaders left out. */
  readonly lines: readonly string[];
  /** Roles of the structure, outermost first, in reading order. */
  readonly roles: readonly string[];
  readonly links: number;
}

export interface ReadText {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly size: number;
  readonly width: number;
}

export async function readPdf(bytes: Uint8Array): Promise<ReadPdf> {
  const task = getDocument({ data: bytes.slice(), useSystemFonts: false, disableFontFace: true, verbosity: 0 });
  const document = await task.promise;
  const pages: ReadPage[] = [];
  for (let number = 1; number <= document.numPages; number += 1)
    pages.push(await readPage(await document.getPage(number)));
  const { info } = await document.getMetadata();
  const facts = info as { Title?: string; Language?: string };
  const mark = await document.getMarkInfo();
  const outline = (await document.getOutline()) ?? [];
  const read = {
    pages,
    title: facts.Title ?? "",
    language: facts.Language ?? "",
    marked: Boolean((mark as { Marked?: boolean } | null)?.Marked),
    outline,
  };
  await task.destroy();
  return read;
}

type PdfPage = Awaited<ReturnType<Awaited<ReturnType<typeof getDocument>["promise"]>["getPage"]>>;

async function readPage(page: PdfPage): Promise<ReadPage> {
  const { width, height } = page.getViewport({ scale: 1 });
  const texts: ReadText[] = [];
  const { items } = await page.getTextContent({ includeMarkedContent: true });
  let artifact = 0;
  const open: string[] = [];
  for (const item of items) {
    if ("type" in item) {
      if (item.type.startsWith("begin")) {
        open.push((item as { tag?: string }).tag ?? "");
        if (open.at(-1) === "Artifact") artifact += 1;
      } else if (open.pop() === "Artifact") artifact -= 1;
    } else if (artifact === 0 && item.str.trim() !== "") {
      const [, , , size = 0, x = 0, y = 0] = item.transform as number[];
      texts.push({ text: item.str, x, y: height - y, size, width: item.width });
    }
  }
  const tree = (await page.getStructTree()) as unknown as StructNode | null;
  const annotations = await page.getAnnotations();
  return {
    width,
    height,
    texts,
    lines: linesOf(texts),
    roles: tree ? rolesOf(tree) : [],
    links: annotations.filter(({ subtype }) => subtype === "Link").length,
  };
}

interface StructNode {
  readonly role?: string;
  readonly children?: readonly StructNode[];
}

function rolesOf(node: StructNode): readonly string[] {
  return [...(node.role ? [node.role] : []), ...(node.children ?? []).flatMap(rolesOf)];
}

/** In content order: a new line begins where the base line changes by more than two points. */
function linesOf(texts: readonly ReadText[]): readonly string[] {
  const lines: { y: number; parts: string[] }[] = [];
  for (const { text, y } of texts) {
    const last = lines.at(-1);
    if (last && Math.abs(last.y - y) < 4) last.parts.push(text);
    else lines.push({ y, parts: [text] });
  }
  return lines.map(({ parts }) => parts.join(" "));
}
