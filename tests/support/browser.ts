import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Readable, Writable } from "node:stream";
import { pathToFileURL } from "node:url";

/** A line of the accessibility tree: what a screen reader is told. */
export interface AxLine {
  readonly role: string;
  readonly name: string;
}

/** A browser without a window, spoken to over its pipe (Chrome DevTools Protocol); nothing is fetched. */
export class Browser {
  private readonly folder = mkdtempSync(join(tmpdir(), "cards-"));
  private readonly process: ChildProcess;
  private readonly waiting = new Map<number, { resolve: (value: Reply) => void; reject: (error: Error) => void }>();
  private readonly events: ((method: string) => void)[] = [];
  private next = 1;
  private rest = "";
  private session: string | undefined;

  constructor() {
    const flags = [
      "--headless",
      "--no-sandbox",
      "--disable-gpu",
      "--no-first-run",
      "--disable-background-networking",
      "--remote-debugging-pipe",
    ];
    this.process = spawn("chromium", [...flags, `--user-data-dir=${join(this.folder, "profile")}`], {
      stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"],
    });
    this.process.on("error", (error) => this.fail(new Error(`chromium does not start: ${error.message}`)));
    this.process.on("exit", () => this.fail(new Error("chromium has ended")));
    (this.process.stdio[4] as Readable).setEncoding("utf8").on("data", (text: string) => this.receive(text));
  }

  /** Opens a page of this text from a file. */
  async open(html: string): Promise<void> {
    const path = join(this.folder, "page.html");
    writeFileSync(path, html);
    const { targetId } = await this.send("Target.createTarget", { url: "about:blank" });
    const { sessionId } = await this.send("Target.attachToTarget", { targetId, flatten: true });
    this.session = String(sessionId);
    await this.send("Page.enable");
    const loaded = new Promise<void>((resolve) =>
      this.events.push((method) => method === "Page.loadEventFired" && resolve()),
    );
    await this.send("Page.navigate", { url: pathToFileURL(path).href });
    await loaded;
  }

  /** The page as a printer would get it; millimetres. */
  async print(width: number, height: number): Promise<Uint8Array> {
    const { data } = await this.send("Page.printToPDF", {
      paperWidth: width / 25.4,
      paperHeight: height / 25.4,
      preferCSSPageSize: false,
      printBackground: true,
    });
    return Buffer.from(String(data), "base64");
  }

  /** What stands on a screen of that many pixels, as PNG. */
  async screenshot(width: number, height: number): Promise<Buffer> {
    await this.send("Emulation.setDeviceMetricsOverride", { width, height, deviceScaleFactor: 1, mobile: false });
    const { data } = await this.send("Page.captureScreenshot", { format: "png", captureBeyondViewport: false });
    return Buffer.from(String(data), "base64");
  }

  /** In the order in which it is read. */
  async accessibility(): Promise<readonly AxLine[]> {
    const { nodes } = await this.send("Accessibility.getFullAXTree");
    const list = nodes as AxNode[];
    const byId = new Map(list.map((node) => [node.nodeId, node]));
    const walk = (node: AxNode | undefined): readonly AxLine[] => {
      if (!node) return [];
      const own = node.ignored ? [] : [{ role: node.role?.value ?? "", name: node.name?.value ?? "" }];
      return [...own, ...(node.childIds ?? []).flatMap((id) => walk(byId.get(id)))];
    };
    return walk(list.find((node) => node.parentId === undefined));
  }

  /** What an expression of the tests' own gives in the page. */
  async evaluate(expression: string): Promise<unknown> {
    const { result } = await this.send("Runtime.evaluate", { expression, returnByValue: true });
    return (result as { value?: unknown }).value;
  }

  close(): void {
    this.process.removeAllListeners("exit");
    this.process.kill();
    this.process.on("exit", () => rmSync(this.folder, { recursive: true, force: true }));
  }

  private send(method: string, params: object = {}): Promise<Reply> {
    const id = this.next++;
    const message = { id, method, params, ...(this.session ? { sessionId: this.session } : {}) };
    (this.process.stdio[3] as Writable).write(`${JSON.stringify(message)}\0`);
    return new Promise((resolve, reject) => this.waiting.set(id, { resolve, reject }));
  }

  private receive(text: string): void {
    const parts = (this.rest + text).split("\0");
    this.rest = parts.pop() ?? "";
    for (const part of parts) {
      const message = JSON.parse(part) as { id?: number; method?: string; result?: Reply; error?: { message: string } };
      if (message.method) for (const event of this.events) event(message.method);
      const waiting = message.id === undefined ? undefined : this.waiting.get(message.id);
      if (message.error) waiting?.reject(new Error(message.error.message));
      else waiting?.resolve(message.result ?? {});
    }
  }

  private fail(error: Error): void {
    for (const { reject } of this.waiting.values()) reject(error);
  }
}

interface AxNode {
  readonly nodeId: string;
  readonly parentId?: string;
  readonly childIds?: readonly string[];
  readonly ignored?: boolean;
  readonly role?: { readonly value: string };
  readonly name?: { readonly value: string };
}

type Reply = Record<string, unknown>;
