import { html, type Markup, NOTHING } from "./html/markup.js";
import { htmlPage } from "./html/page.js";

/** What was built for one procedure. Paths are relative to the index page. */
export interface IndexEntry {
  readonly id: string;
  readonly title: string;
  readonly category: string;
  readonly system: string;
  readonly revision?: string;
  readonly effective?: string;
  readonly useWhen?: string;
  readonly files: readonly IndexFile[];
}

export interface IndexFile {
  /** `card`, `text`, `flowchart`. */
  readonly label: string;
  readonly path: string;
}

export interface IndexPage {
  readonly title: string;
  readonly draft: boolean;
  readonly cautions: readonly string[];
  readonly entries: readonly IndexEntry[];
  /** Files that belong to no single card, such as the book. */
  readonly files: readonly IndexFile[];
}

/** The page that leads to all that was built: cards by system and category, in the order given. */
export function indexPage(page: IndexPage): string {
  const systems = [...new Set(page.entries.map((entry) => entry.system))];
  return htmlPage({
    language: "en",
    title: page.title,
    style: STYLE,
    body: html`<main>
<h1>${page.title}</h1>
${page.draft ? html`<p><strong>DRAFT. Findings stand against these cards.</strong></p>` : NOTHING}
<p class="caution">${page.cautions.join(" ")}</p>
${page.files.length > 0 ? html`<p>${page.files.map(fileLink)}</p>` : NOTHING}
${systems.map((system) =>
  systemMarkup(
    system,
    page.entries.filter((entry) => entry.system === system),
  ),
)}
</main>`,
  });
}

function systemMarkup(system: string, entries: readonly IndexEntry[]): Markup {
  const categories = [...new Set(entries.map((entry) => entry.category))];
  const tables = categories.map((category) =>
    tableMarkup(
      category,
      entries.filter((entry) => entry.category === category),
    ),
  );
  return html`<h2>${system}</h2>
${tables}`;
}

function tableMarkup(category: string, entries: readonly IndexEntry[]): Markup {
  const rows = entries.map(
    (
      entry,
    ) => html`<tr><th scope="row">${entry.title}<br><small>${entry.id}</small></th><td>${entry.useWhen ?? ""}</td><td>${entry.revision ?? ""}</td><td>${entry.effective ?? ""}</td><td>${entry.files.map(fileLink)}</td></tr>
`,
  );
  return html`<table><caption>${category}</caption>
<thead><tr><th scope="col">Card</th><th scope="col">Use when</th><th scope="col">Revision</th><th scope="col">Effective</th><th scope="col">Files</th></tr></thead>
<tbody>${rows}</tbody></table>
`;
}

function fileLink(file: IndexFile): Markup {
  return html`<a href="${addressOf(file.path)}">${file.label}</a> `;
}

/** A relative path, part by part; nothing in it can name another scheme or leave the folder. */
function addressOf(path: string): string {
  const parts = path.split("/").filter((part) => part !== "" && part !== "." && part !== "..");
  return parts.map(encodeURIComponent).join("/");
}

const STYLE = `
:root{color-scheme:light dark}
body{margin:0;font:16px/1.4 "B612","Source Sans 3",Verdana,sans-serif}
main{max-width:60rem;margin:0 auto;padding:1rem}
h1{font-size:1.5rem}h2{font-size:1.2rem;margin-top:2rem}
.caution{border:1px solid;padding:.4rem .6rem}
table{border-collapse:collapse;width:100%;margin:1rem 0}
caption{text-align:left;font-weight:700;padding:.3rem 0;text-transform:capitalize}
th,td{border-top:1px solid;padding:.35rem .5rem;text-align:left;vertical-align:top}
th small{font-weight:400}
a{color:inherit;margin-right:.6rem}
:focus-visible{outline:3px solid;outline-offset:2px}
@media print{body{font-size:11pt}}
`;
