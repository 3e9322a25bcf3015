/** Two runs of one vehicle → one comparison: what became of the faults, and how far that proves a repair. */
import type { Recording } from '@firstcrank/decoder'
import { alignEvents } from './alignment.js'
import { otherChanges } from './changes.js'
import {
  type ClearSeen,
  COMPARISON_SCHEMA,
  COMPARISON_VERSION,
  type CompareOptions,
  type Comparison,
  evidenceIn,
  type FaultComparison,
  type Grade,
  type Run,
  type RunSide,
  type VehicleComparison,
} from './comparison.js'
import { compareExposure, type EngineUse } from './exposure.js'
import { compareFaults } from './faults.js'
import { overlaysOf } from './overlay.js'
import { Side } from './side.js'
import { compareVehicles } from './vehicle.js'
import { compareVitals } from './vitals.js'

/**
 * Compares two runs: `before` a repair and `after` it.
 *
 * @param before opened with `{ summary: true }`, with the report `analyse` made of it
 * @param after the same
 */
export function compareRuns(before: Run, after: Run, options: CompareOptions = {}): Comparison {
  const vehicle = compareVehicles(before.recording, after.recording, options)
  const a = new Side(before, 'before')
  const b = new Side(after, 'after')
  const clears = [...clearsIn('before', before.recording), ...clearsIn('after', after.recording)]
  const faults = compareFaults(a, b, vehicle, clears, options)
  const pairs = pairsOf(a, b)
  const aligned = pairs.map(([one, two]) => alignEvents(one, two))
  const vitals = pairs.flatMap(([one, two]) => compareVitals(a, b, one, two))
  return {
    schema: COMPARISON_SCHEMA,
    version: COMPARISON_VERSION,
    before: { title: before.title, recording: before.report.recording },
    after: { title: after.title, recording: after.report.recording },
    vehicle,
    conclusion: concludeFrom(vehicle, faults, clears),
    faults,
    clears,
    exposure: pairs.map(([one, two]) => compareExposure(one, two)),
    vitals,
    alignment: aligned.flat(),
    overlays: pairs.flatMap(([one, two], i) => overlaysOf(one, two, aligned[i] ?? [])),
    changes: otherChanges(a, b, vehicle),
  }
}

/** Engines both runs have, by address. */
function pairsOf(before: Side, after: Side): [EngineUse, EngineUse][] {
  return before.uses.flatMap((use): [EngineUse, EngineUse][] => {
    const { channel, sa } = use.engine
    const other = after.engineAt(channel, sa)
    return other === undefined ? [] : [[use, other]]
  })
}

function clearsIn(run: RunSide, { events, channels }: Recording): ClearSeen[] {
  return events.flatMap((event): ClearSeen[] => {
    if (event.kind !== 'clear') return []
    const { time, sa, da, command, channel } = event
    const what =
      command.kind === 'clear'
        ? `Address ${sa} asks ${da === 255 ? 'all nodes' : `address ${da}`} to clear ${command.clears === 'active' ? 'active' : 'previously active'} faults (DM${command.dm}).`
        : `Address ${sa} to ${da === 255 ? 'all' : `address ${da}`}, DM22: ${(command.action ?? 'empty').replaceAll('-', ' ')}${command.fault === null ? '' : `, SPN ${command.fault.spn} FMI ${command.fault.fmi}`}.`
    const text = channels.length > 1 ? `${what.slice(0, -1)} on ${channels[channel]}.` : what
    return [{ ...evidenceIn(run, text, time, time), sa, da, dm: command.dm }]
  })
}

const GRADE_ORDER: readonly Grade[] = ['came-back', 'not-proved', 'not-tested', 'supported', 'proved']

/** What a grade says of one fault. */
export const GRADE_WORDS: Readonly<Record<Grade, string>> = {
  proved: 'proved by direct evidence',
  supported: 'supported',
  'not-proved': 'not proved',
  'not-tested': 'not tested',
  'came-back': 'came back',
}

function concludeFrom(
  vehicle: VehicleComparison,
  faults: readonly FaultComparison[],
  clears: readonly ClearSeen[],
): string[] {
  const earlier = faults.filter(({ grade }) => grade !== null)
  const fresh = faults.filter(({ change }) => change === 'new')
  const sentences: string[] = []
  if (vehicle.same === 'different') sentences.push(vehicle.text)
  if (earlier.length === 0)
    sentences.push('No fault was active in the earlier run: there is nothing whose repair could be judged.')
  for (const grade of GRADE_ORDER) {
    const these = earlier.filter((fault) => fault.grade === grade)
    if (these.length > 0) sentences.push(`${begun(GRADE_WORDS[grade])}: ${these.map(nameOf).join('; ')}.`)
  }
  if (fresh.length > 0) sentences.push(`New in the later run: ${fresh.map(nameOf).join('; ')}.`)
  if (vehicle.same === 'unknown') sentences.push(vehicle.text)
  if (clears.length > 0) sentences.push('A command to clear faults was seen. Clearing is not fixing.')
  return sentences
}

const nameOf = ({ spn, fmi, name }: FaultComparison): string => `SPN ${spn} FMI ${fmi}, ${name}`

function begun(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}
