import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { FaceBytes } from "../emit/drawing/measure.js";
import type { WebFaces } from "../emit/html/faces.js";
import { openTypeOf } from "./woff.js";

const resolveFrom = createRequire(import.meta.url);

/**
 * The faces that cards and drawings are set in: B612, and Source Sans 3 for the glyphs it lacks, both as OpenType files (a WOFF2
 * file comes out blank in the PDF library). The packages are dependencies, so a missing file is a broken installation.
 */
export function loadFaces(): FaceBytes {
  return {
    regular: b612("400-normal"),
    bold: b612("700-normal"),
    italic: b612("400-italic"),
    fallback: {
      regular: sourceSans("400Regular"),
      bold: sourceSans("700Bold"),
      italic: sourceSans("400Regular_Italic"),
    },
  };
}

/** The same faces as pages carry them: packed tighter, and only those that a page uses. */
export function loadWebFaces(): WebFaces {
  const web = (style: string) => bytesOf(`@fontsource/b612/files/b612-latin-${style}.woff2`);
  return { regular: web("400-normal"), bold: web("700-normal") };
}

function b612(style: string): Uint8Array {
  return openTypeOf(bytesOf(`@fontsource/b612/files/b612-latin-${style}.woff`));
}

function sourceSans(folder: string): Uint8Array {
  return bytesOf(`@expo-google-fonts/source-sans-3/${folder}/SourceSans3_${folder}.ttf`);
}

function bytesOf(path: string): Uint8Array {
  return readFileSync(resolveFrom.resolve(path));
}
