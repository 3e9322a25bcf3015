/** Faults for recordings made by hand: DM1 as a node repeats it, and what an analysis makes of the whole. */
import {
  encodeFaultList,
  encodeGroup,
  encodeLamps,
  type GroupInput,
  type Lamp,
  type LampStatus,
  type Recording,
} from '@firstcrank/decoder'
import { findGroup } from '@firstcrank/decoder/catalog'
import { type EngineView, findEngines } from '../../packages/analysis/src/engine-view.js'
import { FaultContext } from '../../packages/analysis/src/faults/context.js'
import { analyseFaults } from '../../packages/analysis/src/faults/index.js'
import type { CheckResult, FaultGroup, Phase } from '../../packages/analysis/src/model.js'
import { findPhases } from '../../packages/analysis/src/phases.js'
import { type Profile, parseProfile } from '../../packages/analysis/src/profile.js'
import { bamFrames, hexOf, type LogFrame } from './log.js'
import { KEY_ON, type MadeRun, openRun, USUAL } from './made-run.js'

/** Frames of a made run that are not its engine's usual ones; times in seconds since key-on. */
export type OtherFrame = NonNullable<MadeRun['others']>[number]

/** A fault that is active from one time to another, in seconds since key-on. */
export interface MadeFault {
  readonly spn: number
  readonly fmi: number
  readonly from: number
  readonly to?: number
  readonly count?: number
}

const DM1_PGN = 65226
const OFF: Lamp = { state: 'off', flash: 'none' }
const ON: Lamp = { state: 'on', flash: 'none' }
const lamps = (lit: boolean): LampStatus => ({
  malfunction: OFF,
  redStop: OFF,
  amberWarning: lit ? ON : OFF,
  protect: OFF,
})

/** DM1 of one node: every second, and at once when a fault comes or goes. One fault in one frame, more in packets. */
export function dm1(faults: readonly MadeFault[], { sa = 0, from = 0.5, end = USUAL.end } = {}): OtherFrame[] {
  const edges = faults.flatMap((fault) => [fault.from + 0.01, (fault.to ?? end) + 0.01])
  const beats = Array.from({ length: Math.floor(end - from) }, (_, i) => from + i)
  return [...new Set([...beats, ...edges])]
    .filter((at) => at >= from && at < end)
    .sort((a, b) => a - b)
    .flatMap((at) => {
      const active = faults.filter((fault) => at >= fault.from && at < (fault.to ?? end))
      const codes = active.map(({ spn, fmi, count = 1 }) => ({ spn, fmi, occurrenceCount: count }))
      const data = hexOf(encodeFaultList(lamps(active.length > 0), codes))
      if (data.length <= 16) return [{ at, pgn: DM1_PGN, sa, data }]
      return bamFrames({ time: Math.round(at * 1e6), pgn: DM1_PGN, sa, data, spacing: 20_000 }).map(relative)
    })
}

/** One fault list of another kind, such as DM2, with a lamp or without. */
export function faultList(
  at: number,
  pgn: number,
  codes: readonly { spn: number; fmi: number; count: number }[],
  sa = 0,
): OtherFrame {
  const list = codes.map(({ spn, fmi, count }) => ({ spn, fmi, occurrenceCount: count }))
  return { at, pgn, sa, data: hexOf(encodeFaultList(lamps(false), list)) }
}

/** A lamp that burns while no fault is listed. */
export function lampOnly(at: number, sa = 0): OtherFrame {
  const data = new Uint8Array(8).fill(0)
  data.set(encodeLamps(lamps(true)))
  return { at, pgn: DM1_PGN, sa, data: hexOf(data) }
}

function relative({ time, ...frame }: LogFrame): OtherFrame {
  return { ...frame, at: time / 1e6 }
}

/** A group of any node, again and again. */
export function every(
  pgn: number,
  period: number,
  [from, to]: readonly [number, number],
  values: (t: number) => GroupInput,
  sa = 0,
): OtherFrame[] {
  const group = findGroup(pgn)
  if (group === undefined) throw new Error(`no definition of ${pgn}`)
  const count = Math.max(0, Math.floor((to - from) / period))
  return Array.from({ length: count }, (_, i) => from + i * period).map((at) => ({
    at,
    pgn,
    sa,
    data: hexOf(encodeGroup(group, values(at))),
  }))
}

/** Another node that lives: a message every 100 ms, but for stretches of silence. */
export function livingNode(
  sa: number,
  silent: readonly (readonly [number, number])[] = [],
  end: number = USUAL.end,
): OtherFrame[] {
  return every(65265, 0.1, [0.07 + sa / 1000, end], () => ({ 84: 0 }), sa).filter(
    ({ at }) => !silent.some(([from, to]) => at >= from && at < to),
  )
}

/** A recording with everything an analysis of its faults works on. */
export interface Analysed {
  readonly recording: Recording
  readonly engine: EngineView | undefined
  readonly phases: readonly Phase[]
  readonly context: FaultContext
  readonly groups: readonly FaultGroup[]
}

/** The profile of the made engine. */
export const THREE_LITRES: Profile = parseProfile(
  '{"version": 1, "title": "Made engine", "engine": {"displacement": 3}}',
)

export interface AnalyseOptions {
  readonly checks?: readonly CheckResult[]
  readonly profile?: Profile
}

/** Opens a made run and analyses its faults. */
export async function analysed(run: MadeRun, options: AnalyseOptions = {}): Promise<Analysed> {
  return analysedRecording(await openRun(run), options)
}

/** The same of a recording that is there already. */
export function analysedRecording(
  recording: Recording,
  { checks = [], profile = THREE_LITRES }: AnalyseOptions = {},
): Analysed {
  const [engine] = findEngines(recording)
  const phases = engine === undefined ? [] : findPhases(engine, profile)
  const context = new FaultContext(recording, engine, phases, checks, profile)
  return { recording, engine, phases, context, groups: analyseFaults(recording, engine, phases, checks, profile) }
}

/** Seconds since key-on. */
export const secondsOf = (time: number): number => (time - KEY_ON) / 1e6
