import react from "@vitejs/plugin-react";
import { defineConfig } from "vitest/config";

/** The pages are built into the Python package, so that one wheel holds the whole program. */
export default defineConfig({
  plugins: [react()],
  // The letters travel with their licences: this folder is copied beside the built pages.
  publicDir: "FONT_LICENSES",
  build: {
    outDir: "../backend/numbertaker/web/static",
    emptyOutDir: true,
    assetsInlineLimit: 0,
  },
  server: { proxy: { "/api": "http://127.0.0.1:8000" } },
  test: {
    environment: "jsdom",
    include: ["src/**/*.test.{ts,tsx}"],
    restoreMocks: true,
  },
});
