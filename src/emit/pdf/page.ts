import { unreachable } from "../../invariant.js";
import type { CircleMark, Mark, PathMark, Pen, RectMark, TextMark } from "../drawing/marks.js";
import type { Page, PagePart } from "../layout/page.js";
import type { Content } from "../layout/piece.js";
import type { FaceBook } from "./faces.js";
import { cardDestination, type StructureWriter } from "./structure.js";

/** Draws pages into a PDF file, each group of marks as content of its element of the structure, or as decoration. */
export class PageWriter {
  private readonly named = new Set<string>();

  constructor(
    private readonly document: PDFKit.PDFDocument,
    private readonly faces: FaceBook,
    private readonly structure: StructureWriter,
  ) {}

  add(page: Page): void {
    this.document.addPage({ size: [page.width, page.height], margin: 0 });
    for (const part of page.parts) this.destination(part);
    for (const content of page.contents) this.content(content);
  }

  /** Whether the first page of a card has been drawn. */
  holds(procedure: string): boolean {
    return this.named.has(procedure);
  }

  /** Links lead to the first page of a card, and to the first card of a name. */
  private destination(part: PagePart): void {
    if (part.card === "" || part.number !== 1 || this.named.has(part.card)) return;
    this.named.add(part.card);
    this.document.addNamedDestination(cardDestination(part.card), "XYZ", part.x, part.y, null);
  }

  private content(content: Content): void {
    if (content.marks.length === 0) return;
    if (content.tag) this.structure.begin(content.tag, content.link);
    else this.document.markContent("Artifact", { type: content.purpose === "foot" ? "Pagination" : "Layout" });
    for (const mark of content.marks) this.mark(mark);
    this.document.endMarkedContent();
  }

  private mark(mark: Mark): void {
    switch (mark.kind) {
      case "rect":
      case "circle":
      case "path":
        this.outline(mark);
        this.paint(mark);
        break;
      case "text":
        this.text(mark);
        break;
      case "group":
        for (const inner of mark.marks) this.mark(inner);
        break;
      default:
        unreachable(mark);
    }
  }

  private outline(mark: RectMark | CircleMark | PathMark): void {
    const { document } = this;
    if (mark.kind === "circle") document.circle(mark.x, mark.y, mark.radius);
    else if (mark.kind === "path") this.path(mark);
    else if (mark.radius) document.roundedRect(mark.x, mark.y, mark.width, mark.height, mark.radius);
    else document.rect(mark.x, mark.y, mark.width, mark.height);
  }

  private path(mark: PathMark): void {
    for (const piece of mark.pieces) {
      if (piece.to === "move") this.document.moveTo(piece.x, piece.y);
      else if (piece.to === "line") this.document.lineTo(piece.x, piece.y);
      else if (piece.to === "curve") this.document.bezierCurveTo(...piece.by, piece.x, piece.y);
      else this.document.closePath();
    }
  }

  private paint(pen: Pen): void {
    const { document } = this;
    if (pen.stroke) {
      document.lineWidth(pen.weight ?? 1).lineJoin("round");
      if (pen.dash) this.dash(pen.dash);
    }
    if (pen.fill && pen.stroke) document.fillAndStroke(pen.fill, pen.stroke);
    else if (pen.fill) document.fill(pen.fill);
    else if (pen.stroke) document.stroke(pen.stroke);
    if (pen.dash) document.undash();
  }

  /** The types of the library know a single length only; it takes a list. */
  private dash(lengths: readonly number[]): void {
    (this.document as unknown as { dash(lengths: readonly number[]): void }).dash(lengths);
  }

  private text(mark: TextMark): void {
    const { document, faces } = this;
    const width = mark.anchor === "start" ? 0 : faces.widthOf(mark.text, mark.face, mark.size);
    const x = mark.anchor === "end" ? mark.x - width : mark.anchor === "middle" ? mark.x - width / 2 : mark.x;
    document.fillColor(mark.fill);
    faces.draw(mark.text, mark.face, mark.size, x, mark.y);
  }
}
