import "@fontsource-variable/source-sans-3/wght.css";
import "@fontsource/courier-prime/latin-400.css";
import "@fontsource/courier-prime/latin-ext-400.css";
import "@fontsource/eb-garamond/latin-400.css";
import "@fontsource/eb-garamond/latin-400-italic.css";
import "@fontsource/eb-garamond/latin-500.css";
import "@fontsource/eb-garamond/latin-ext-400.css";
import "./styles/light.css";
import "./styles/base.css";
import "./styles/shell.css";
import "./styles/evidence.css";
import { QueryClient, QueryClientProvider } from "@tanstack/react-query";
import { StrictMode } from "react";
import { createRoot } from "react-dom/client";
import { showLight } from "./shell/settings";
import { Shell } from "./shell/Shell";

showLight();
const queries = new QueryClient({
  // The program is on this machine: what the browser thinks of the network must not hold anything back.
  defaultOptions: {
    queries: { retry: false, refetchOnWindowFocus: false, staleTime: 30_000, networkMode: "always" },
    mutations: { networkMode: "always" },
  },
});
const root = document.getElementById("root");
if (root === null) throw new Error("index.html has no element with the id 'root'.");
createRoot(root).render(
  <StrictMode>
    <QueryClientProvider client={queries}>
      <Shell />
    </QueryClientProvider>
  </StrictMode>,
);
