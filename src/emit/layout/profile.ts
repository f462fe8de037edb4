/** Sizes to print by, in points, for a reading distance in millimetres. */
export interface Profile {
  readonly name: string;
  readonly distance: number;
  readonly body: number;
  readonly heading: number;
  /** Feet of pages, foot notes, marks: never below the least that the distance allows. */
  readonly small: number;
  /** Distance of base lines by the size. NASA CR-177605: 1.25 to 1.33. */
  readonly leading: number;
}

const LEADING = 1.28;
/** CAP 676 ch. 7, read at 600 mm: body about 12 pt, headings about 14, nothing under 10. */
const CAP_DISTANCE = 600;
const CAP_BODY = 12;
const CAP_HEADING = 14;
const CAP_LEAST = 10;
/** Below this print breaks up whatever the distance: our own limit, no published source. */
const LEAST_OF_ALL = 7;

const NAMED: ReadonlyMap<string, number> = new Map([
  ["in-hand", 450],
  ["arm-length", 600],
  ["console", 900],
  ["wall", 1500],
]);

/**
 * The profile of a name (`in-hand` 450 mm, `arm-length` 600 mm, `console` 900 mm, `wall` 1500 mm: CAP 676 kept at the same visual angle), `display-arc`
 * (letters of 20 minutes of arc at 600 mm, MIL-STD-411F), or a body size of one's own: `11 pt at 500 mm`. Undefined where it is none.
 */
export function profileOf(text: string): Profile | undefined {
  const name = text.trim().toLowerCase();
  const distance = NAMED.get(name);
  if (distance !== undefined) return sized(name, distance, (CAP_BODY * distance) / CAP_DISTANCE);
  if (name === "display-arc") return sized(name, CAP_DISTANCE, 13.8);
  const own = /^(\d+(?:\.\d+)?)\s*pt\s+at\s+(\d+(?:\.\d+)?)\s*mm$/.exec(name);
  if (!own) return undefined;
  const [body, far] = [Number(own[1]), Number(own[2])];
  return body >= 4 && body <= 72 && far >= 100 && far <= 5000 ? sized(name, far, body) : undefined;
}

/** The least size that may be read at a distance, and the least for headings: CAP 676 kept at the same visual angle. */
export function leastSizes(distance: number): { readonly text: number; readonly heading: number } {
  const scale = distance / CAP_DISTANCE;
  return { text: Math.max(LEAST_OF_ALL, CAP_LEAST * scale), heading: Math.max(LEAST_OF_ALL, CAP_BODY * scale) };
}

function sized(name: string, distance: number, body: number): Profile {
  return {
    name,
    distance,
    body,
    heading: (body * CAP_HEADING) / CAP_BODY,
    small: Math.min(body, leastSizes(distance).text),
    leading: LEADING,
  };
}
