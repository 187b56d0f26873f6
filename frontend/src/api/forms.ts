/** Learnt forms of cards: looked at on a card, kept, chosen for a source, shared and forgotten. */
import { queryOptions, useMutation, useQueryClient } from "@tanstack/react-query";
import { client, told } from "./ask";
import { failureIn } from "./failure";
import type { FormBody, FormView } from "./views";

export const formsAsked = () =>
  queryOptions({ queryKey: ["forms"], queryFn: () => told<FormView[]>(client.GET("/api/forms")) });

/** A form as a file to share. */
export function formAddress(name: string): string {
  return `/api/forms/${encodeURIComponent(name)}.json`;
}

/** The form that a card's own scan shows; takes some seconds, so it is asked for and never fetched ahead. */
export function useFormOfCard() {
  return useMutation({
    mutationFn: (card_id: string) =>
      told<FormBody>(client.GET("/api/cards/{card_id}/form", { params: { path: { card_id } } })),
  });
}

/** Keep a form under a name; one of that name is replaced. */
export function useKeepForm() {
  const queries = useQueryClient();
  return useMutation({
    mutationFn: ({ name, form }: { name: string; form: FormBody }) =>
      told<FormView>(client.PUT("/api/forms/{name}", { params: { path: { name } }, body: { ...form, name } })),
    onSuccess: () => queries.invalidateQueries({ queryKey: ["forms"] }),
  });
}

export function useForgetForm() {
  const queries = useQueryClient();
  return useMutation({
    mutationFn: async (name: string) => {
      const { error, response } = await client.DELETE("/api/forms/{name}", { params: { path: { name } } });
      if (!response.ok) throw failureIn(error, response.status);
    },
    onSuccess: () => queries.invalidateQueries({ queryKey: ["forms"] }),
  });
}

/** Say which form the cards of a source have; '' leaves it to the program, card by card. */
export function useChooseForm(source_id: string) {
  const queries = useQueryClient();
  return useMutation({
    mutationFn: async (form: string) => {
      const asked = { params: { path: { source_id } }, body: { form } };
      const { error, response } = await client.PUT("/api/sources/{source_id}/form", asked);
      if (!response.ok) throw failureIn(error, response.status);
    },
    onSuccess: () => queries.invalidateQueries({ queryKey: ["forms"] }),
  });
}
