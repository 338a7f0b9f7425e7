// Each marked line has to be an error: the compiler fails where one of them is not.
import type { components } from "./schema";

type Schemas = components["schemas"];

export function wrong(answer: Schemas["CompressionAnswer"], batch: Schemas["DisplacementBatchAnswer"]): unknown[] {
  // @ts-expect-error a misspelled figure
  const ratio = answer.compression_ration;
  // @ts-expect-error a misspelled member of a figure
  const value = answer.compression_ratio.valeu;
  // @ts-expect-error a verdict that there is not
  const failed = answer.verdict === "failed";
  // @ts-expect-error a check that there is not
  const named = answer.checks[0].name === "no-such-check";
  // @ts-expect-error a misspelled column
  const column = batch.columns.displacment;
  return [ratio, value, failed, named, column];
}

export const requests: Schemas["CompressionRequest"][] = [
  // @ts-expect-error neither deck clearance nor stack
  { bore: "94 mm", stroke: "88 mm", cylinders: 4, chamber_volume: "52 cm3", gasket: { bore: "95 mm", thickness: "1 mm" } },
  // @ts-expect-error a misspelled field
  { bor: "94 mm", stroke: "88 mm", cylinders: 4, chamber_volume: "52 cm3", gasket: { volume: "7 cm3" }, deck_clearance: "0 mm" },
];
