import type { Link } from "../layout/piece.js";
import type { Tag } from "../layout/structure.js";

interface Drawn {
  readonly contents: PDFKit.PDFStructureContent[];
  readonly links: { readonly link: Link; readonly page: number }[];
}

type Linking = PDFKit.PDFDocument & {
  goTo(x: number, y: number, width: number, height: number, name: string, options: object): unknown;
};

/** Gathers what was drawn for each element, and at the end writes the tree in the order in which it was laid out. */
export class StructureWriter {
  private readonly drawn = new Map<Tag, Drawn>();

  constructor(private readonly document: PDFKit.PDFDocument) {}

  /** Opens marked content for an element; the caller draws and ends it. */
  begin(tag: Tag, link: Link | undefined): void {
    const drawn = this.drawn.get(tag) ?? { contents: [], links: [] };
    this.drawn.set(tag, drawn);
    drawn.contents.push(this.document.markStructureContent(tag.role));
    if (link) drawn.links.push({ link, page: this.document.bufferedPageRange().count - 1 });
  }

  /** `leads` tells whether a card is in this file. */
  end(root: Tag, leads: (procedure: string) => boolean): void {
    const element = this.document.struct(root.role);
    this.document.addStructure(element);
    for (const child of root.children) this.write(child, element, leads);
    element.end();
  }

  /** An element in which nothing was drawn is left out. */
  private write(tag: Tag, parent: PDFKit.PDFStructureElement, leads: (procedure: string) => boolean): void {
    if (!this.isDrawn(tag)) return;
    const { role, title, alt, actual } = tag;
    const element = this.document.struct(role, {
      ...(title ? { title } : {}),
      ...(alt ? { alt } : {}),
      ...(actual ? { actual } : {}),
    });
    parent.add(element);
    const drawn = this.drawn.get(tag);
    for (const content of drawn?.contents ?? []) element.add(content);
    for (const { link, page } of drawn?.links ?? []) if (leads(link.procedure)) this.link(element, link, page);
    for (const child of tag.children) this.write(child, element, leads);
    element.end();
  }

  private link(element: PDFKit.PDFStructureElement, link: Link, page: number): void {
    const document = this.document as Linking;
    const name = cardDestination(link.procedure);
    document.switchToPage(page);
    document.goTo(link.x, link.y, link.width, link.height, name, {
      structParent: element,
      Contents: new String(link.procedure),
    });
  }

  private isDrawn(tag: Tag): boolean {
    return this.drawn.has(tag) || tag.children.some((child) => this.isDrawn(child));
  }
}

/** The name by which links lead to a card. */
export function cardDestination(procedure: string): string {
  return `card-${procedure}`;
}
