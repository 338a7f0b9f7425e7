// A web shop checks a cart before it is paid, over types made by `npx openapi-typescript "<service>/v1/openapi.json?text=full" -o schema.d.ts`.
import type { components } from "./schema";

type Request = components["schemas"]["AssemblyFitRequest"];
type Answer = components["schemas"]["AssemblyFitAnswer"];
type Problem = components["schemas"]["Problem"];

// What the buyer is to be told: nothing where it fits. null where it could not be checked, which must not stop a sale.
export async function cartMessages(address: string, cart: Request): Promise<string[] | null> {
  try {
    const response = await fetch(`${address}/v1/assembly-fit`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(cart),
      signal: AbortSignal.timeout(3000),
    });
    if (response.status === 422) {
      const problem: Problem = await response.json();
      return (problem.errors ?? []).map((error) => `${error.pointer}: ${error.detail}`);
    }
    if (!response.ok) return null;
    const answer: Answer = await response.json();
    return answer.checks
      .filter((check) => check.verdict === "fail")
      .map((check) => `${check.name}: ${check.value === null ? "not known" : `${check.value.value} ${check.value.unit}`}. ${check.reason}`);
  } catch {
    return null; // no service, no answer in time, or something else there
  }
}
