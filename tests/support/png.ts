import { inflateSync } from "node:zlib";

/** A picture in grey, 0 black to 255 white, row by row. */
export interface Grey {
  readonly width: number;
  readonly height: number;
  readonly values: Uint8Array;
}

/** Reads a PNG of eight bits a channel, RGB or RGBA over white, not interlaced (ISO/IEC 15948). */
export function greyOf(png: Buffer): Grey {
  const [width, height, depth, type] = [png.readUInt32BE(16), png.readUInt32BE(20), png[24], png[25]];
  const channels = type === 6 ? 4 : type === 2 ? 3 : 0;
  if (depth !== 8 || channels === 0 || png[28] !== 0)
    throw new Error(`a PNG of type ${type}, depth ${depth} is not read here`);
  const data = inflateSync(Buffer.concat(chunks(png, "IDAT")));
  const line = width * channels;
  const values = new Uint8Array(width * height);
  let above = new Uint8Array(line);
  for (let y = 0; y < height; y += 1) {
    const at = y * (line + 1);
    const row = unfiltered(data.subarray(at + 1, at + 1 + line), above, data[at] as number, channels);
    for (let x = 0; x < width; x += 1) values[y * width + x] = greyAt(row, x * channels, channels);
    above = row;
  }
  return { width, height, values };
}

function chunks(png: Buffer, name: string): Buffer[] {
  const found: Buffer[] = [];
  for (let at = 8; at < png.length; at += 12 + png.readUInt32BE(at)) {
    if (png.toString("latin1", at + 4, at + 8) === name)
      found.push(png.subarray(at + 8, at + 8 + png.readUInt32BE(at)));
  }
  return found;
}

function unfiltered(raw: Uint8Array, above: Uint8Array, filter: number, step: number): Uint8Array<ArrayBuffer> {
  const row = new Uint8Array(raw.length);
  raw.forEach((value, index) => {
    const left = index < step ? 0 : (row[index - step] as number);
    const up = above[index] as number;
    const corner = index < step ? 0 : (above[index - step] as number);
    const add = [0, left, up, (left + up) >> 1, paeth(left, up, corner)][filter] ?? 0;
    row[index] = (value + add) & 255;
  });
  return row;
}

function paeth(left: number, up: number, corner: number): number {
  const guess = left + up - corner;
  const [a, b, c] = [Math.abs(guess - left), Math.abs(guess - up), Math.abs(guess - corner)];
  return a <= b && a <= c ? left : b <= c ? up : corner;
}

function greyAt(row: Uint8Array, at: number, channels: number): number {
  const grey = 0.3 * (row[at] as number) + 0.59 * (row[at + 1] as number) + 0.11 * (row[at + 2] as number);
  const alpha = channels === 4 ? (row[at + 3] as number) / 255 : 1;
  return Math.round(grey * alpha + 255 * (1 - alpha));
}
