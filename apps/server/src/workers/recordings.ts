/**
 * Thread that holds the recordings people look at. The ones asked for last stay in memory, as many as
 * fit; requests to a recording that is being read wait for it, requests to others do not.
 */
import { createReadStream } from 'node:fs'
import { setImmediate as nextTurn } from 'node:timers/promises'
import { workerData } from 'node:worker_threads'
import type { UnitSystem } from '@firstcrank/analysis'
import { openRecording, type Recording } from '@firstcrank/decoder'
import { answerRequest, type CheckedRequest, FeedError, prepareWindows } from '@firstcrank/feed'
import { type ExportChunks, exportChunks } from '../exports/chunks.js'
import type { ExportFormat, ExportQuery } from '../exports/query.js'
import { type LogPlace, MEMORY_SHARE, RECORDING_BYTES, type ThreadSettings } from './places.js'
import { compare, makeReport, type ReportForm, renderCompared } from './report.js'
import { serveThread } from './serve-thread.js'

/** Two runs to be compared; as data where no form is given. */
export interface CompareRequest {
  readonly before: LogPlace
  readonly after: LogPlace
  readonly sameVehicle: boolean
  readonly form?: ReportForm
  readonly units?: UnitSystem
}

interface Open {
  readonly recording: Promise<Recording>
  /** Resolves when the indexes of its overviews are made, as far as there is time and room. */
  readonly prepared: Promise<void>
  bytes: number
}

const CHUNK_BYTES = 262_144
/** Exports at a time: each keeps its recording in memory. Our own choice. */
const MAX_EXPORTS = 8
/**
 * Milliseconds spent on the indexes of a recording at most. An hour of a full bus takes 1.5 s of processor
 * time, an eighth of what reading it takes. Our own choice.
 */
const PREPARE_FOR = 3_000

const { memory, definitions } = workerData as ThreadSettings
const open = new Map<string, Open>()
const exports = new Map<number, Promise<ExportChunks>>()
let lastExport = 0

serveThread({
  answer: async ({ place, request }: { place: LogPlace; request: CheckedRequest }) => {
    const recording = await hold(place)
    // Who has been told what there is to be seen sees all of it at once.
    if (request.ask === 'info') await open.get(place.run)?.prepared
    return answerRequest(
      { recording, epoch: place.run, complete: true, report: () => makeReport(recording, place) },
      request,
    )
  },
  compare: async ({ before, after, sameVehicle, form, units }: CompareRequest) => {
    const [one, two] = [await hold(before), await hold(after)]
    const comparison = compare({ recording: one, place: before }, { recording: two, place: after }, sameVehicle)
    return form === undefined ? comparison : renderCompared(comparison, form, units)
  },
  exportBegin: async ({ place, format, query }: { place: LogPlace; format: ExportFormat; query: ExportQuery }) => {
    if (exports.size >= MAX_EXPORTS) throw new FeedError('too-busy', `${MAX_EXPORTS} exports are being made`)
    const id = ++lastExport
    // It has its place from now on: others that come while the recording is read are counted with it.
    const chunks = hold(place).then((recording) => exportChunks(recording, format, query))
    exports.set(id, chunks)
    chunks.catch(() => exports.delete(id))
    await chunks
    return id
  },
  exportNext: async ({ id }: { id: number }) => {
    const { value, done } = (await (await exports.get(id))?.next()) ?? { value: undefined, done: true }
    if (done) exports.delete(id)
    return value ?? null
  },
  exportEnd: ({ id }: { id: number }) => {
    exports.delete(id)
  },
  forget: ({ run }: { run: string }) => {
    open.delete(run)
  },
  usage: () => ({ recordings: open.size, bytes: total() }),
})

const total = (): number => [...open.values()].reduce((sum, { bytes }) => sum + bytes, 0)

/** The recording of a log, read where it is not held. */
function hold(place: LogPlace): Promise<Recording> {
  const known = open.get(place.run)
  if (known !== undefined) {
    // Last in the map is used last.
    open.delete(place.run)
    open.set(place.run, known)
    return known.recording
  }
  const recording = read(place, (bytes) => grow(place.run, bytes))
  const entry: Open = { recording, prepared: recording.then((whole) => prepare(entry, whole)), bytes: 0 }
  open.set(place.run, entry)
  entry.prepared.catch(() => {
    if (open.get(place.run) === entry) open.delete(place.run)
  })
  return recording
}

/** As long as there is time and room. Requests that come meanwhile wait for one step at most. */
async function prepare(entry: Open, recording: Recording): Promise<void> {
  const until = performance.now() + PREPARE_FOR
  for (const bytes of prepareWindows(recording)) {
    entry.bytes += bytes
    if (performance.now() > until || total() > memory) return
    await nextTurn()
  }
}

/** @throws {FeedError} `recording-too-large` */
function read({ path }: LogPlace, onGrowth: (bytes: number) => void): Promise<Recording> {
  return openRecording(createReadStream(path, { highWaterMark: CHUNK_BYTES }), {
    summary: true,
    definitions,
    onProgress: (bytes) => onGrowth(RECORDING_BYTES + bytes * MEMORY_SHARE),
  })
}

/** Makes room by letting go of what was asked for longest ago. */
function grow(run: string, bytes: number): void {
  const entry = open.get(run)
  if (entry !== undefined) entry.bytes = bytes
  for (const [other] of open) {
    if (total() <= memory) return
    if (other !== run) open.delete(other)
  }
  if (total() > memory) {
    const megabytes = Math.round(memory / 2 ** 20)
    throw new FeedError('recording-too-large', `it needs more than the ${megabytes} MB recordings may take`)
  }
}
