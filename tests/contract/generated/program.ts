// A program as an integrator would write it, over the types that openapi-typescript makes of the document: no casts, no `?.`.
import type { components, paths } from "./schema";

type Schemas = components["schemas"];
type Posted<Path extends keyof paths> = paths[Path] extends {
  post: { requestBody: { content: { "application/json": infer Body } }; responses: { 200: { content: { "application/json": infer Answer } } } };
}
  ? { body: Body; answer: Answer }
  : never;

const address = process.argv[2] ?? "http://127.0.0.1:8080";

async function ask<Path extends keyof paths>(path: Path, body: Posted<Path>["body"]): Promise<Posted<Path>["answer"]> {
  const response = await fetch(address + path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  if (!response.ok) {
    const problem: Schemas["Problem"] = await response.json();
    throw new Error(`${problem.status} ${problem.title}: ${problem.detail}`);
  }
  return response.json();
}

function shown(figure: Schemas["AnyFigure"] | null): string {
  return figure === null ? "not known" : `${figure.value} ${figure.unit}`;
}

async function main(): Promise<void> {
  const displacement = await ask("/v1/displacement", { bore: "94.00 mm", stroke: "88.00 mm", cylinders: 4 });
  console.log("displacement", displacement.displacement.value.toFixed(1), displacement.displacement.unit, displacement.verdict);

  const compression = await ask("/v1/compression", {
    units: "metric",
    bore: { value: 94, unit: "mm", tolerance: 0.01 },
    stroke: 88,
    cylinders: 4,
    chamber_volume: "52 cm3",
    gasket: { bore: 95, thickness: 1.0 },
    deck_clearance: 0.3,
  });
  const ratio = compression.compression_ratio;
  console.log("compression", ratio.value.toFixed(3), ratio.low ?? ratio.value, compression.clearance_parts.gasket === null ? "" : "gasket known");
  for (const check of compression.checks) {
    const name: Schemas["CheckName"] = check.name;
    const verdict: Schemas["Verdict"] = check.verdict;
    console.log("check", name, verdict, shown(check.value), shown(check.limits.low), shown(check.limits.high), check.basis);
  }
  for (const assumption of compression.assumptions) {
    console.log("assumed", assumption.name.toUpperCase());
  }

  const gaps = await ask("/v1/ring-gap", { bore: "94 mm", bore_material: "gray_iron", duty: { aspiration: "natural", service: "street" } });
  console.log("ring gap", gaps.top.recommended_gap.value, gaps.cylinders.length);

  const batch = await ask("/v1/displacement/batch", {
    units: "metric",
    common: { stroke: 88, cylinders: 4 },
    columns: { bore: [94, "94.5 mm", null] },
  });
  console.log("batch", batch.rows, batch.columns.displacement[0], batch.units["displacement"], batch.failures[0].errors[0].pointer);

  const sheet = await ask("/v1/build-sheet", {
    order: { id: "HL-0001" },
    build: { bore: "94 mm", stroke: "88 mm", cylinders: 4 },
  });
  console.log("sheet", sheet.verdict, sheet.input_digest.length, sheet.missing.length > 0);
}

main().catch((error) => {
  console.error(error);
  process.exitCode = 1;
});
