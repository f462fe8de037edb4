/** Faces for a page, as the web has them (WOFF2). */
export interface WebFaces {
  readonly regular: Uint8Array;
  readonly bold: Uint8Array;
}

/** Style rules that carry the faces inside the page, so that it needs no file beside it. */
export function fontStyle(faces: WebFaces): string {
  return `${rule(400, faces.regular)}${rule(700, faces.bold)}`;
}

/** The same as addresses that hold the faces, for a picture that carries them. */
export function faceAddresses({ regular, bold }: WebFaces): { readonly regular: string; readonly bold: string } {
  return { regular: addressOf(regular), bold: addressOf(bold) };
}

function rule(weight: number, bytes: Uint8Array): string {
  return `@font-face{font-family:B612;font-weight:${weight};src:url(${addressOf(bytes)}) format("woff2")}`;
}

function addressOf(bytes: Uint8Array): string {
  return `data:font/woff2;base64,${Buffer.from(bytes).toString("base64")}`;
}
