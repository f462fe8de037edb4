import { unreachable } from "../../invariant.js";
import type { Drawing, Face, GroupMark, Mark, PathMark, Pen, TextMark } from "./marks.js";

/** Faces to carry inside the picture, as `data:` addresses by face; without them the reader's own stand in. */
export interface SvgOptions {
  readonly faces?: Partial<Readonly<Record<Face, string>>>;
}

/** Faces about as wide as B612 stand in where it is missing, so that text stays inside its shape. */
const FAMILIES = "B612, 'DejaVu Sans', Verdana, sans-serif";

/** The drawing as a whole SVG 1.1 document: text as text, a title and a description, sizes in points. Same drawing, same bytes. */
export function svgOf(drawing: Drawing, options: SvgOptions = {}): string {
  const width = number(drawing.width);
  const height = number(drawing.height);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}pt" height="${height}pt" viewBox="0 0 ${width} ${height}"` +
      ` role="img" aria-labelledby="${drawing.id}-title ${drawing.id}-desc" font-family="${FAMILIES}">`,
    `<title id="${drawing.id}-title">${xmlText(drawing.title)}</title>`,
    `<desc id="${drawing.id}-desc">${xmlText(drawing.description)}</desc>`,
    ...style(options),
    `<rect width="${width}" height="${height}" fill="#ffffff"/>`,
    ...drawing.marks.flatMap(markLines),
    "</svg>",
    "",
  ].join("\n");
}

function style(options: SvgOptions): string[] {
  const rules = Object.entries(options.faces ?? {}).map(
    ([face, address]) =>
      `@font-face{font-family:B612;font-weight:${face === "bold" ? 700 : 400};` +
      `font-style:${face === "italic" ? "italic" : "normal"};src:url(${address})}`,
  );
  return rules.length > 0 ? [`<style>${rules.join("")}</style>`] : [];
}

function markLines(mark: Mark): string[] {
  switch (mark.kind) {
    case "rect": {
      const radius = mark.radius ? ` rx="${number(mark.radius)}"` : "";
      return [
        `<rect x="${number(mark.x)}" y="${number(mark.y)}" width="${number(mark.width)}" height="${number(mark.height)}"${radius}${pen(mark)}/>`,
      ];
    }
    case "circle":
      return [`<circle cx="${number(mark.x)}" cy="${number(mark.y)}" r="${number(mark.radius)}"${pen(mark)}/>`];
    case "path":
      return [`<path d="${pathData(mark)}"${pen(mark)}/>`];
    case "text":
      return [textLine(mark)];
    case "group":
      return groupLines(mark);
    default:
      return unreachable(mark);
  }
}

function groupLines(group: GroupMark): string[] {
  const title = group.title === undefined ? [] : [`<title>${xmlText(group.title)}</title>`];
  return ["<g>", ...title, ...group.marks.flatMap(markLines), "</g>"];
}

function textLine(mark: TextMark): string {
  const weight = mark.face === "bold" ? ' font-weight="700"' : mark.face === "italic" ? ' font-style="italic"' : "";
  const anchor = mark.anchor === "start" ? "" : ` text-anchor="${mark.anchor}"`;
  const place = `x="${number(mark.x)}" y="${number(mark.y)}" font-size="${number(mark.size)}"`;
  return `<text ${place}${weight}${anchor} fill="${mark.fill}">${xmlText(mark.text)}</text>`;
}

function pathData(mark: PathMark): string {
  const pieces = mark.pieces.map((piece) => {
    switch (piece.to) {
      case "move":
        return `M${number(piece.x)} ${number(piece.y)}`;
      case "line":
        return `L${number(piece.x)} ${number(piece.y)}`;
      case "curve":
        return `C${piece.by.map(number).join(" ")} ${number(piece.x)} ${number(piece.y)}`;
      case "close":
        return "Z";
      default:
        return unreachable(piece);
    }
  });
  return pieces.join("");
}

function pen(mark: Pen): string {
  const fill = ` fill="${mark.fill ?? "none"}"`;
  if (!mark.stroke) return fill;
  const dash = mark.dash ? ` stroke-dasharray="${mark.dash.map(number).join(" ")}"` : "";
  return `${fill} stroke="${mark.stroke}" stroke-width="${number(mark.weight ?? 1)}" stroke-linejoin="round"${dash}`;
}

/** At most two decimals, no trailing noughts, never `-0`: the same digits on every machine. */
function number(value: number): string {
  return String(Math.round(value * 100) / 100 || 0);
}

/** Printable ASCII without the four marks that mean something in XML: most of all text. */
const PLAIN = /^[ !#-%'-;=?-~]*$/;

const ESCAPES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };

function xmlText(text: string): string {
  if (PLAIN.test(text)) return text;
  return Array.from(text, (character) => (allowed(character) ? (ESCAPES[character] ?? character) : "\uFFFD")).join("");
}

/** What XML 1.0 calls a Char; a control character or half a surrogate pair is none, and is drawn as the replacement character. */
function allowed(character: string): boolean {
  const code = character.codePointAt(0) ?? 0;
  if (code < 0x20) return code === 0x09 || code === 0x0a || code === 0x0d;
  return !(code >= 0xd800 && code <= 0xdfff) && code !== 0xfffe && code !== 0xffff;
}
