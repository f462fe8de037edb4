import type { SourceFile } from "./file.js";

/** Bytes; about 10,000 lines. A procedure has a few hundred, the model of a whole aircraft one or two thousand. */
export const LARGEST_FILE = 500_000;

export type Decoded =
  | { readonly kind: "text"; readonly file: SourceFile }
  | { readonly kind: "too-large"; readonly bytes: number }
  /** `byte` is the offset of the first byte that is not UTF-8; `file` holds the text before it. */
  | { readonly kind: "not-utf8"; readonly byte: number; readonly file: SourceFile };

/** Bytes to text: UTF-8 and nothing else, a byte order mark dropped. Never throws. */
export function decode(path: string, bytes: Uint8Array): Decoded {
  if (bytes.length > LARGEST_FILE) return { kind: "too-large", bytes: bytes.length };
  const text = utf8(bytes);
  if (text !== undefined) return { kind: "text", file: { path, text } };
  const byte = firstBadByte(bytes);
  return { kind: "not-utf8", byte, file: { path, text: utf8(bytes.subarray(0, byte)) ?? "" } };
}

function utf8(bytes: Uint8Array): string | undefined {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return undefined;
  }
}

/** The longest prefix that decodes ends at the first bad sequence; a prefix cut inside a good one is taken as good. */
function firstBadByte(bytes: Uint8Array): number {
  let low = 0;
  let high = bytes.length;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (decodesAsPrefix(bytes.subarray(0, middle))) low = middle;
    else high = middle - 1;
  }
  while (low > 0 && utf8(bytes.subarray(0, low)) === undefined) low -= 1;
  return low;
}

function decodesAsPrefix(bytes: Uint8Array): boolean {
  try {
    new TextDecoder("utf-8", { fatal: true }).decode(bytes, { stream: true });
    return true;
  } catch {
    return false;
  }
}
