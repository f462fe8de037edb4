import { inflateSync } from "node:zlib";
import { invariant } from "../invariant.js";

interface Table {
  readonly tag: number;
  readonly checksum: number;
  readonly data: Uint8Array;
}

const HEADER = 44;
const ENTRY = 20;

/**
 * The OpenType file inside a WOFF 1.0 file (W3C Recommendation "WOFF File Format 1.0", section 4): the same tables, unpacked once with the fast
 * inflate of the platform, so that no reader has to do it table by table. Metadata is left behind.
 */
export function openTypeOf(woff: Uint8Array): Uint8Array {
  const view = new DataView(woff.buffer, woff.byteOffset, woff.byteLength);
  invariant(view.getUint32(0) === 0x774f4646, "not a WOFF 1.0 file");
  const count = view.getUint16(12);
  const tables = Array.from({ length: count }, (_, index) => tableAt(woff, view, HEADER + index * ENTRY));
  return assembled(view.getUint32(4), tables);
}

function tableAt(woff: Uint8Array, view: DataView, at: number): Table {
  const offset = view.getUint32(at + 4);
  const packed = view.getUint32(at + 8);
  const length = view.getUint32(at + 12);
  const bytes = woff.subarray(offset, offset + packed);
  const data = packed < length ? new Uint8Array(inflateSync(bytes)) : bytes;
  return { tag: view.getUint32(at), checksum: view.getUint32(at + 16), data };
}

/** Tables begin at multiples of four bytes, in the order in which the directory lists them. */
function assembled(flavour: number, tables: readonly Table[]): Uint8Array {
  const start = 12 + tables.length * 16;
  const size = tables.reduce((sum, table) => sum + padded(table.data.length), start);
  const bytes = new Uint8Array(size);
  const view = new DataView(bytes.buffer);
  const power = Math.floor(Math.log2(tables.length));
  view.setUint32(0, flavour);
  view.setUint16(4, tables.length);
  view.setUint16(6, 16 * 2 ** power);
  view.setUint16(8, power);
  view.setUint16(10, tables.length * 16 - 16 * 2 ** power);
  let offset = start;
  tables.forEach((table, index) => {
    const entry = 12 + index * 16;
    view.setUint32(entry, table.tag);
    view.setUint32(entry + 4, table.checksum);
    view.setUint32(entry + 8, offset);
    view.setUint32(entry + 12, table.data.length);
    bytes.set(table.data, offset);
    offset += padded(table.data.length);
  });
  return bytes;
}

function padded(length: number): number {
  return (length + 3) & ~3;
}
