import { svelte } from "@sveltejs/vite-plugin-svelte";
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

const page = (path: string): string => fileURLToPath(new URL(path, import.meta.url));

export default defineConfig(({ mode }) => ({
  plugins: [svelte()],
  build: {
    outDir: "dist",
    emptyOutDir: true,
    target: "es2022",
    // The server sends a content security policy without 'unsafe-inline': nothing may be inlined.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rollupOptions: {
      input: {
        index: page("index.html"),
        "sign-in": page("sign-in/index.html"),
        student: page("student/index.html"),
        desk: page("desk/index.html"),
        office: page("office/index.html"),
        outbox: page("outbox/index.html"),
      },
    },
  },
  server: {
    proxy: { "/api": { target: process.env["FAIRLEAD_DEV_API"] ?? "http://127.0.0.1:8000" } },
  },
  // Component tests mount the browser build of Svelte, not its server build.
  resolve: mode === "test" ? { conditions: ["browser"] } : {},
  test: { environment: "jsdom", include: ["src/**/*.test.ts"] },
}));
