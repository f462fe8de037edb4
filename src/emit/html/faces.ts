/** Faces for a page, as the web has them (WOFF2). */
export interface WebFaces {
  readonly regular: Uint8Array;
  readonly bold: Uint8Array;
}

/** Style rules that carry the faces inside the page, so that it needs no file beside it. */
export function fontStyle(faces: WebFaces): string {
  return `${rule(400, faces.regular)}${rule(700, faces.bold)}`;
}

function rule(weight: number, bytes: Uint8Array): string {
  const data = Buffer.from(bytes).toString("base64");
  return `@font-face{font-family:B612;font-weight:${weight};src:url(data:font/woff2;base64,${data}) format("woff2")}`;
}
