/** What was asked for: on its way, refused with the reason, or here. */
import type { UseQueryResult } from "@tanstack/react-query";
import type { ReactNode } from "react";
import { asFailure } from "../api/failure";
import { Link } from "../shell/router";
import { Trouble } from "./Trouble";

interface AskedProps<T> {
  of: UseQueryResult<T>;
  what: string;
  children: (data: T) => ReactNode;
}

export function Asked<T>({ of, what, children }: AskedProps<T>) {
  if (of.data !== undefined) return <>{children(of.data)}</>;
  if (of.isError) {
    if (asFailure(of.error).code !== "not-found") return <Trouble thrown={of.error} again={() => void of.refetch()} />;
    return (
      <>
        <Trouble thrown={of.error} />
        <p>
          The address may be an old one, or of another archive. <Link to={{ desk: "overview" }}>Look in this archive</Link>.
        </p>
      </>
    );
  }
  return (
    <p role="status" className="soft">
      Fetching {what}…
    </p>
  );
}
