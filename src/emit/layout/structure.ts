/** Roles of the standard structure of tagged PDF (ISO 32000-1, 14.8.4) that cards use. */
export type Role =
  | "Document"
  | "Part"
  | "Sect"
  | "H1"
  | "H2"
  | "H3"
  | "P"
  | "L"
  | "LI"
  | "Lbl"
  | "LBody"
  | "Span"
  | "Link"
  | "Table"
  | "TR"
  | "TH"
  | "TD"
  | "Note"
  | "Figure"
  | "TOC"
  | "TOCI";

/** An element of the logical structure. Layout hangs children on it in reading order; the writer walks it. */
export interface Tag {
  readonly role: Role;
  readonly children: Tag[];
  /** Said in place of what is drawn: `red` for the letter in a lamp. */
  readonly actual?: string;
  readonly alt?: string;
  readonly title?: string;
}

/** A new element, the last child of `parent`. */
export function tag(parent: Tag, role: Role, more: Pick<Tag, "actual" | "alt" | "title"> = {}): Tag {
  const child: Tag = { role, children: [], ...more };
  parent.children.push(child);
  return child;
}

export function rootTag(): Tag {
  return { role: "Document", children: [] };
}
