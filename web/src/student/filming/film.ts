/**
 * A film's own facts, and cutting it without re-encoding: pictures are copied as they are, from one that stands by
 * itself (a key picture). Only this file knows the library; it is loaded when somebody films or cuts, never before.
 */

import {
  BlobSource,
  BufferTarget,
  EncodedAudioPacketSource,
  EncodedPacketSink,
  EncodedVideoPacketSource,
  Input,
  MATROSKA,
  MP4,
  MkvOutputFormat,
  Mp4OutputFormat,
  Output,
  QTFF,
  WEBM,
  WebMOutputFormat,
  type EncodedPacket,
  type InputAudioTrack,
  type InputVideoTrack,
} from "mediabunny";

/** What the file itself says. Times in seconds from its first picture. */
export interface FilmFacts {
  seconds: number;
  pictures: number;
  /** Pictures a second, counted. */
  rate: number;
  /** Key pictures: where a cut can begin. */
  keysS: number[];
}

export interface Cut {
  file: File;
  /** Where it really begins and ends in the whole film: at the key picture before what was asked. */
  fromS: number;
  toS: number;
}

/** The film cannot be read or cut here, and is to be sent whole. */
export class NotCut extends Error {}

const METADATA = { metadataOnly: true } as const;
/** A cut may not begin a hair after the key picture that was asked for. */
const SLACK_S = 1e-4;

async function withFilm<T>(file: Blob, work: (input: Input, video: InputVideoTrack) => Promise<T>): Promise<T> {
  const input = new Input({ source: new BlobSource(file), formats: [MP4, QTFF, WEBM, MATROSKA] });
  try {
    const video = await input.getPrimaryVideoTrack();
    if (video === null) throw new NotCut("no picture track");
    return await work(input, video);
  } catch (error) {
    throw error instanceof NotCut ? error : new NotCut(error instanceof Error ? error.message : String(error));
  } finally {
    input.dispose();
  }
}

/** Read a film's facts. Rejects with `NotCut` for a file that is no film we know. */
export function readFilm(file: Blob): Promise<FilmFacts> {
  return withFilm(file, async (_input, video) => {
    const sink = new EncodedPacketSink(video);
    const times: number[] = [];
    const keys: number[] = [];
    let end = -Infinity;
    for await (const packet of sink.packets(undefined, undefined, METADATA)) {
      times.push(packet.timestamp);
      if (packet.type === "key") keys.push(packet.timestamp);
      end = Math.max(end, packet.timestamp + packet.duration);
    }
    if (times.length === 0) throw new NotCut("no pictures");
    const first = Math.min(...times);
    const between = Math.max(...times) - first;
    return {
      seconds: end - first,
      pictures: times.length,
      rate: between > 0 ? (times.length - 1) / between : 0,
      keysS: keys.map((key) => key - first).sort((one, other) => one - other),
    };
  });
}

/** The key picture at or before a time; the first one where there is none before. */
export const keyBefore = (keysS: readonly number[], atS: number): number =>
  keysS.filter((key) => key <= atS + SLACK_S).at(-1) ?? keysS[0] ?? 0;

/** Copy the part of a film from the key picture at or before `fromS` up to `toS`. Rejects with `NotCut`. */
export function cutFilm(file: File, fromS: number, toS: number): Promise<Cut> {
  return withFilm(file, async (input, video) => {
    const first = await video.getFirstTimestamp();
    const sink = new EncodedPacketSink(video);
    const key = (await sink.getKeyPacket(first + fromS + SLACK_S, { verifyKeyPackets: true })) ?? (await sink.getFirstKeyPacket());
    if (key === null) throw new NotCut("no key picture");
    const packets = await wanted(sink, key, first + toS);
    const end = Math.max(...packets.map((packet) => packet.timestamp + packet.duration));
    const container = containerOf(file, await input.getMimeType());
    const target = new BufferTarget();
    const output = new Output({ format: container.format(), target });
    const addVideo = await videoInto(output, video);
    const audio = await input.getPrimaryAudioTrack();
    const addAudio = audio === null ? null : await audioInto(output, audio);
    await output.start();
    for (const packet of packets) await addVideo(packet.clone({ timestamp: packet.timestamp - key.timestamp }));
    if (audio !== null && addAudio !== null) {
      for await (const packet of new EncodedPacketSink(audio).packets()) {
        if (packet.timestamp >= end) break;
        if (packet.timestamp >= key.timestamp) await addAudio(packet.clone({ timestamp: packet.timestamp - key.timestamp }));
      }
    }
    await output.finalize();
    if (target.buffer === null) throw new NotCut("nothing was written");
    const name = `${file.name.replace(/\.[^.]*$/, "") || "clip"}-cut.${container.ending}`;
    const made = new File([target.buffer], name, { type: container.type, lastModified: file.lastModified });
    return { file: made, fromS: key.timestamp - first, toS: end - first };
  });
}

/**
 * Packets in decoding order from a key picture up to the last that is shown before `until`. What comes later in the
 * film but earlier in this order is needed to decode it; pictures shown before the key need others that are cut away.
 */
async function wanted(sink: EncodedPacketSink, key: EncodedPacket, until: number): Promise<EncodedPacket[]> {
  const kept: EncodedPacket[] = [];
  let last = 0;
  for await (const packet of sink.packets(key)) {
    // A key picture past the end: nothing before the end is decoded after it.
    if (packet.type === "key" && packet.timestamp >= until && packet !== key) break;
    if (packet.timestamp < key.timestamp) continue;
    kept.push(packet);
    if (packet.timestamp < until) last = kept.length;
  }
  return kept.slice(0, Math.max(1, last));
}

type Add = (packet: EncodedPacket) => Promise<void>;

async function videoInto(output: Output, track: InputVideoTrack): Promise<Add> {
  const codec = await track.getCodec();
  const decoderConfig = await track.getDecoderConfig();
  if (codec === null || decoderConfig === null || !output.format.getSupportedVideoCodecs().includes(codec)) {
    throw new NotCut("a kind of picture that cannot be copied");
  }
  const source = new EncodedVideoPacketSource(codec);
  output.addVideoTrack(source, { rotation: await track.getRotation() });
  return (packet) => source.add(packet, { decoderConfig });
}

/** The strike can be heard in a film with sound: it is kept, where it can be. */
async function audioInto(output: Output, track: InputAudioTrack): Promise<Add | null> {
  const codec = await track.getCodec();
  const decoderConfig = await track.getDecoderConfig();
  if (codec === null || decoderConfig === null || !output.format.getSupportedAudioCodecs().includes(codec)) return null;
  const source = new EncodedAudioPacketSource(codec);
  output.addAudioTrack(source);
  return (packet) => source.add(packet, { decoderConfig });
}

function containerOf(file: File, mime: string) {
  if (mime.startsWith("video/webm")) {
    return { ending: "webm", type: "video/webm", format: () => new WebMOutputFormat() };
  }
  if (mime.includes("matroska") || file.name.toLowerCase().endsWith(".mkv")) {
    return { ending: "mkv", type: "video/x-matroska", format: () => new MkvOutputFormat() };
  }
  return { ending: "mp4", type: "video/mp4", format: () => new Mp4OutputFormat({ fastStart: "in-memory" }) };
}
