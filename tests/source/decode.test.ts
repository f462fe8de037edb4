import { describe, expect, test } from "vitest";
import { decode, LARGEST_FILE } from "../../src/source/decode.js";

/** Byte sequences of The Unicode Standard, chapter 3, table 3-7 (well-formed UTF-8), and one step outside of each row. */
const WELL_FORMED: readonly (readonly [string, readonly number[]])[] = [
  ["U+0041", [0x41]],
  ["U+0080", [0xc2, 0x80]],
  ["U+07FF", [0xdf, 0xbf]],
  ["U+0800", [0xe0, 0xa0, 0x80]],
  ["U+D7FF", [0xed, 0x9f, 0xbf]],
  ["U+E000", [0xee, 0x80, 0x80]],
  ["U+10000", [0xf0, 0x90, 0x80, 0x80]],
  ["U+10FFFF", [0xf4, 0x8f, 0xbf, 0xbf]],
];
const ILL_FORMED: readonly (readonly [string, readonly number[]])[] = [
  ["a lone continuation", [0x80]],
  ["overlong, two bytes", [0xc1, 0xbf]],
  ["overlong, three bytes", [0xe0, 0x9f, 0xbf]],
  ["a surrogate", [0xed, 0xa0, 0x80]],
  ["overlong, four bytes", [0xf0, 0x8f, 0xbf, 0xbf]],
  ["above U+10FFFF", [0xf4, 0x90, 0x80, 0x80]],
  ["cut short", [0xe2, 0x82]],
  ["never in UTF-8", [0xff]],
  ["Latin-1 degree sign", [0xb0, 0x43]],
];

describe("decode", () => {
  test.each(WELL_FORMED)("takes %s", (_, bytes) => {
    const decoded = decode("a.yaml", Uint8Array.from([0x61, ...bytes, 0x62]));
    expect(decoded.kind).toBe("text");
  });

  test.each(ILL_FORMED)("refuses %s and says at which byte", (_, bytes) => {
    expect(decode("a.yaml", Uint8Array.from([0x61, 0x62, ...bytes]))).toEqual({
      kind: "not-utf8",
      byte: 2,
      file: { path: "a.yaml", text: "ab" },
    });
  });

  test("drops the byte order mark", () => {
    const decoded = decode("a.yaml", Uint8Array.from([0xef, 0xbb, 0xbf, 0x61]));
    expect(decoded).toEqual({ kind: "text", file: { path: "a.yaml", text: "a" } });
  });

  test("refuses UTF-16 at its byte order mark", () => {
    expect(decode("a.yaml", Uint8Array.from([0xff, 0xfe, 0x61, 0x00]))).toMatchObject({ kind: "not-utf8", byte: 0 });
  });

  test("refuses 50 MB without reading them", () => {
    const start = performance.now();
    expect(decode("a.yaml", new Uint8Array(50_000_000))).toEqual({ kind: "too-large", bytes: 50_000_000 });
    expect(performance.now() - start).toBeLessThan(200);
  });

  test("takes a file of exactly the limit", () => {
    expect(decode("a.yaml", new Uint8Array(LARGEST_FILE).fill(0x20)).kind).toBe("text");
  });
});
