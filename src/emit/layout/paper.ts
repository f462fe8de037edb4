/** Points in a millimetre: 1 pt is 1/72 inch, 1 inch is 25.4 mm. */
export const MILLIMETRE = 72 / 25.4;

/** A sheet, in points. */
export interface Paper {
  readonly name: string;
  readonly width: number;
  readonly height: number;
}

/** ISO 216 in millimetres; Letter is 8.5 x 11 inches, half letter the same folded once. */
const PAPERS: ReadonlyMap<string, readonly [number, number]> = new Map([
  ["a4", [210, 297]],
  ["a5", [148, 210]],
  ["a6", [105, 148]],
  ["a7", [74, 105]],
  ["letter", [215.9, 279.4]],
  ["half letter", [139.7, 215.9]],
]);

const SMALLEST = 50;
const LARGEST = 1200;

/**
 * The paper of a name (`A5`, `half letter`, `A4 landscape`) or of a size in millimetres (`90 x 180 mm`); undefined where it is
 * neither, or has a side below 50 or above 1200 mm.
 */
export function paperOf(text: string): Paper | undefined {
  const asked = text.trim().toLowerCase().replaceAll("-", " ");
  const landscape = asked.endsWith(" landscape");
  const size = sizeOf(landscape ? asked.slice(0, -" landscape".length).trim() : asked);
  if (!size || Math.min(...size) < SMALLEST || Math.max(...size) > LARGEST) return undefined;
  const [width, height] = landscape ? [size[1], size[0]] : size;
  return { name: text.trim(), width: width * MILLIMETRE, height: height * MILLIMETRE };
}

function sizeOf(name: string): readonly [number, number] | undefined {
  const known = PAPERS.get(name);
  if (known) return known;
  const match = /^(\d+(?:\.\d+)?)\s*(?:x|×)\s*(\d+(?:\.\d+)?)\s*mm$/.exec(name);
  return match ? [Number(match[1]), Number(match[2])] : undefined;
}
