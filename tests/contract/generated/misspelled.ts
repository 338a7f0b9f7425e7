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

export const columns: Schemas["RingGapBatchRequest"]["columns"][] = [
  { bore: [94, "94.5 mm", { value: 3.7, unit: "in" }, null], "rings.top.material": ["ductile_iron", null], "boost.pressure": [50, null] },
  // @ts-expect-error a misspelled column
  { bores: [94, 94.5] },
  // @ts-expect-error a misspelled column with a dotted name
  { bore: [94], "boost.presure": [50] },
  // @ts-expect-error numbers where words belong
  { bore: [94], "duty.service": [1, 2] },
  // @ts-expect-error a word that there is not
  { bore: [94], "duty.service": ["street", "show"] },
  // @ts-expect-error words where a count belongs
  { bore: [94], cylinders: ["four"] },
  // @ts-expect-error one entry where a list belongs
  { bore: 94 },
  // @ts-expect-error a quantity whose value is misspelled
  { bore: [{ valeu: 94, unit: "mm" }] },
];

export const rows: Schemas["DetonationMarginBatchRequest"]["columns"][] = [
  { speed: ["5500 rpm"], "fuel.octane.scale": ["aki"], cylinders: [8, null] },
  // @ts-expect-error a misspelled column
  { speed: ["5500 rpm"], "fuel.octan.rating": [93] },
  // @ts-expect-error truths where quantities belong
  { speed: [true] },
];

export const common: Schemas["SkirtClearanceBatchRequest"][] = [
  // @ts-expect-error a misspelled field of what all rows share
  { common: { bore_matreial: "gray_iron" }, columns: { bore: [94] } },
  // @ts-expect-error no columns
  { common: { bore_material: "gray_iron" } },
];
