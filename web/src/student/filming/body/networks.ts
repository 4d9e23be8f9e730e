/**
 * The body networks in the browser: the worker's own files, run by LiteRT in WebAssembly. Only this file knows the
 * runtime, and it runs in a web worker alone. Everything is fetched from this server; no picture leaves the phone.
 */

import { loadAndCompile, loadLiteRt, supportsFeature, Tensor, type CompiledModel } from "@litertjs/core";
import runtimeCode from "@litertjs/core/wasm/litert_wasm_internal.js?url";
import runtime from "@litertjs/core/wasm/litert_wasm_internal.wasm?url";
import olderRuntimeCode from "@litertjs/core/wasm/litert_wasm_compat_internal.js?url";
import olderRuntime from "@litertjs/core/wasm/litert_wasm_compat_internal.wasm?url";
import landmarkFile from "@mediapipe/pose/pose_landmark_lite.tflite?url";
import detectorFile from "@mediapipe/pose/pose_solution_packed_assets.data?url";
import { cutCrop, letterbox, DETECTOR_SIDE, type Picture } from "./picture";
import { LANDMARK_SIDE, type Crop } from "./crop";
import { decodePeople, type Person } from "./detector";
import { bodyPoints, type BodyPoints } from "./points";

declare const self: { Module?: { locateFile: () => string; print: () => void; printErr: () => void } };

const silent = (): void => undefined;

/** Both networks, ready to look. */
export class BodyNetworks {
  constructor(
    private readonly detector: CompiledModel,
    private readonly landmarks: CompiledModel,
  ) {}

  /** Fetch and start everything. Rejects where the browser cannot (no SIMD, no room, a file that did not come). */
  static async load(): Promise<BodyNetworks> {
    const relaxed = await supportsFeature("relaxedSimd");
    // Built files carry a hash in their names, which the runtime does not know. What it notes of itself is no error.
    self.Module = { locateFile: () => (relaxed ? runtime : olderRuntime), print: silent, printErr: silent };
    await loadLiteRt(relaxed ? runtimeCode : olderRuntimeCode);
    const options = { accelerator: "wasm" } as const;
    return new BodyNetworks(await loadAndCompile(detectorFile, options), await loadAndCompile(landmarkFile, options));
  }

  /** Everybody who stands in the picture, best first. */
  async people(picture: Picture): Promise<Person[]> {
    const boxed = letterbox(picture);
    const shape = [1, DETECTOR_SIDE, DETECTOR_SIDE, 3];
    const [boxes, scores] = await run(this.detector, boxed.values, shape, ["Identity", "Identity_1"]);
    return decodePeople(boxes as Float32Array, scores as Float32Array, boxed);
  }

  /** The body in a crop. */
  async body(picture: Picture, crop: Crop): Promise<BodyPoints> {
    const shape = [1, LANDMARK_SIDE, LANDMARK_SIDE, 3];
    const wanted = ["Identity", "Identity_1", "Identity_3"];
    const [table, person, heatmaps] = await run(this.landmarks, cutCrop(picture, crop), shape, wanted);
    return bodyPoints(
      { table: table as Float32Array, person: (person as Float32Array)[0] ?? 0, heatmaps: heatmaps as Float32Array },
      crop,
    );
  }
}

async function run(model: CompiledModel, values: Float32Array, shape: number[], wanted: string[]): Promise<Float32Array[]> {
  const input = new Tensor(values, shape);
  const names = model.getOutputDetails().map((detail) => detail.name);
  try {
    const outputs = await model.run([input]);
    try {
      return wanted.map((name) => {
        const found = outputs[names.indexOf(name)];
        if (found === undefined) throw new Error(`the network has no output ${name}`);
        return (found.toTypedArray() as Float32Array).slice();
      });
    } finally {
      for (const output of outputs) output.delete();
    }
  } finally {
    // The runtime's memory is not collected by itself.
    input.delete();
  }
}
