import { svelte } from "@sveltejs/vite-plugin-svelte";
import { createHash } from "node:crypto";
import { fileURLToPath } from "node:url";
import type { Plugin } from "vite";
import { defineConfig } from "vitest/config";

const page = (path: string): string => fileURLToPath(new URL(path, import.meta.url));

/** Parts of the student's pages that are large and opened by few: kept once they were opened, not before. */
const NOT_IN_THE_SHELL = /FilmDialog|CutFilm/;

/**
 * Tells the service worker which files the student's and the guardian's pages need without a connection, with a hash over
 * each: the page, its scripts and styles, and what they load when a place is opened.
 */
function shell(): Plugin {
  return {
    name: "fairlead-shell",
    apply: "build",
    enforce: "post",
    generateBundle: {
      order: "post",
      handler(_options, bundle) {
        const worker = Object.values(bundle).find((one) => one.type === "chunk" && one.name === "offline");
        if (worker?.type !== "chunk") throw new Error("no service worker");
        const shellOf = (area: string): { version: string; files: string[] } => {
          const page = Object.values(bundle).find((one) => one.type === "chunk" && one.isEntry && one.name === area);
          if (page === undefined) throw new Error(`no page ${area}`);
          const files = new Set<string>();
          const visit = (name: string): void => {
            const chunk = bundle[name];
            if (files.has(name) || chunk?.type !== "chunk" || NOT_IN_THE_SHELL.test(name)) return;
            files.add(name);
            for (const style of chunk.viteMetadata?.importedCss ?? []) files.add(style);
            [...chunk.imports, ...chunk.dynamicImports].forEach(visit);
          };
          visit(page.fileName);
          const list = [...files].sort().map((name) => `/${name}`);
          const version = createHash("sha256").update(list.join()).digest("hex").slice(0, 12);
          return { version, files: [`/${area}/`, "/favicon.svg", ...list] };
        };
        const said = JSON.stringify({ student: shellOf("student"), guardian: shellOf("guardian") });
        worker.code = worker.code.replaceAll(/\bSHELL\b/g, `(${said})`);
      },
    },
  };
}

export default defineConfig(({ mode }) => ({
  plugins: [svelte(), shell()],
  build: {
    outDir: "dist",
    emptyOutDir: true,
    target: "es2022",
    // The server sends a content security policy without 'unsafe-inline': nothing may be inlined.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    // Says which files each page loads first: tests hold their weight to its limit.
    manifest: true,
    rollupOptions: {
      input: {
        index: page("index.html"),
        "sign-in": page("sign-in/index.html"),
        student: page("student/index.html"),
        desk: page("desk/index.html"),
        office: page("office/index.html"),
        guardian: page("guardian/index.html"),
        outbox: page("outbox/index.html"),
        unsubscribe: page("unsubscribe/index.html"),
        offline: page("src/offline/worker.ts"),
      },
      // The service worker's address must never change.
      output: { entryFileNames: (chunk) => (chunk.name === "offline" ? "offline.js" : "assets/[name]-[hash].js") },
    },
  },
  // Web workers lie in a folder of their own: the server lets these alone compile WebAssembly.
  worker: { rollupOptions: { output: { entryFileNames: "assets/workers/[name]-[hash].js" } } },
  server: {
    proxy: { "/api": { target: process.env["FAIRLEAD_DEV_API"] ?? "http://127.0.0.1:8000" } },
  },
  // Component tests mount the browser build of Svelte, not its server build.
  resolve: mode === "test" ? { conditions: ["browser"] } : {},
  test: { environment: "jsdom", include: ["src/**/*.test.ts"] },
}));
