import type { CardDocument } from "../card/content.js";
import type { Measure } from "../drawing/measure.js";
import { type LayoutOptions, layoutCard, type Page } from "./card.js";
import type { Paper } from "./paper.js";
import type { Profile } from "./profile.js";
import { rootTag, type Tag } from "./structure.js";

/** Laid-out pages with all that a file says about itself. */
export interface Book {
  readonly title: string;
  readonly subject: string;
  readonly language: string;
  /** The latest date of its revisions, `2026-10-02`. */
  readonly date?: string;
  readonly pages: readonly Page[];
  readonly structure: Tag;
  /** `page` counts from 0. */
  readonly outline: readonly { readonly title: string; readonly page: number }[];
}

export interface BookOptions {
  readonly measure: Measure;
  readonly paper: Paper;
  readonly profile: Profile;
  readonly title?: string;
  readonly binding?: LayoutOptions["binding"];
  readonly boxes?: boolean;
}

/** Lays several cards out one after the other. */
export function layoutBook(documents: readonly CardDocument[], options: BookOptions): Book {
  const structure = rootTag();
  const pages: Page[] = [];
  const outline: { title: string; page: number }[] = [];
  for (const document of documents) {
    outline.push({ title: document.title, page: pages.length });
    pages.push(
      ...layoutCard(
        document,
        { ...options, binding: options.binding ?? "left", boxes: options.boxes ?? false, pageOf: () => undefined },
        structure,
      ),
    );
  }
  return {
    title: options.title ?? documents[0]?.title ?? "",
    subject: documents[0]?.cautions.join(" ") ?? "",
    language: "en",
    pages,
    structure,
    outline,
  };
}
