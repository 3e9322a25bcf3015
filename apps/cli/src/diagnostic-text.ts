/** Diagnostic messages in words: lamps, trouble codes, freeze frames, monitors, and the rest as it is. */
import {
  type CycleMonitor,
  DIAGNOSTIC_PROBLEMS,
  type DiagnosticMessage,
  type DiagnosticProblem,
  decodeSignal,
  type ExpandedFreezeFrame,
  type FreezeFrame,
  type FreezeFrameParameter,
  type GroupDefinition,
  LAMPS,
  type LampStatus,
  type Monitor,
  type TroubleCode,
} from '@firstcrank/decoder'
import { findSignals } from '@firstcrank/decoder/catalog'
import { faultTitle, fmiMeaning, fmiPlain } from './names.js'
import { bytesText, plainLines } from './plain.js'
import { listing, plural, wrap } from './text.js'
import { valueText } from './value-form.js'

/** How far lines below a message's name are indented. */
const INDENT = '    '

/** The lamps that are on, in words: `red stop lamp (fast flash)`. */
export function litLamps(lamps: LampStatus | undefined): string[] {
  if (lamps === undefined) return []
  return LAMPS.flatMap(({ key, name }) => {
    const { state, flash } = lamps[key]
    if (state !== 'on') return []
    return [flash === 'slow' || flash === 'fast' ? `${name} (${flash} flash)` : name]
  })
}

/**
 * What a diagnostic message says, below a line with its name.
 *
 * @param own definitions whose names come first
 */
export function diagnosticLines(diagnostic: DiagnosticMessage, own: readonly GroupDefinition[]): string[] {
  const problems = diagnostic.problems.flatMap(problemLines)
  switch (diagnostic.kind) {
    case 'fault-list': {
      const { state, lamps, faults } = diagnostic
      const lit = lamps === null ? [] : litLamps(lamps)
      return [
        ...wrap(`${state.replaceAll('-', ' ')} faults: ${faults.length === 0 ? 'none' : faults.length}.`, INDENT),
        ...wrap(`Lamps on: ${lit.length === 0 ? 'none' : listing(lit)}.`, INDENT),
        ...faults.flatMap((fault) => [
          ...wrap(`${troubleCodeText(fault, own)}.`, INDENT),
          ...wrap(fmiPlain(fault.fmi), `${INDENT}  `),
          ...(fault.ambiguous ? wrap(readingsText(fault), `${INDENT}  `) : []),
        ]),
        ...problems,
      ]
    }
    case 'freeze-frames':
      return [...framesLines(diagnostic.frames, own, frameValues), ...problems]
    case 'expanded-freeze-frames':
      return [...framesLines(diagnostic.frames, own, expandedValues), ...problems]
    case 'other':
      return [`${INDENT}known by name only; bytes ${bytesText(diagnostic.payload) || 'none'}`]
    default: {
      const { kind: _, dm: __, problems: ___, ...rest } = diagnostic
      if (!('monitors' in rest)) return [...plainLines(rest, INDENT), ...problems]
      const { monitors, ...others } = rest
      return [...plainLines(others, INDENT), ...monitorLines(monitors), ...problems]
    }
  }
}

function troubleCodeText({ spn, fmi, occurrenceCount }: TroubleCode, own: readonly GroupDefinition[]): string {
  const times = occurrenceCount === null ? 'occurrences not counted' : plural(occurrenceCount, 'occurrence')
  return `SPN ${spn} FMI ${fmi}: ${faultTitle(spn, own)}: ${fmiMeaning(fmi)}; ${times}`
}

function readingsText({ readings }: TroubleCode): string {
  const others = readings.map((reading) => `SPN ${reading.spn} (version ${reading.version})`)
  return `Old way to write the SPN; it can be read as ${others.join(' or ')}.`
}

function framesLines<Frame extends { readonly dtc: TroubleCode }>(
  frames: readonly Frame[],
  own: readonly GroupDefinition[],
  valuesOf: (frame: Frame) => string[],
): string[] {
  if (frames.length === 0) return [`${INDENT}No freeze frame.`]
  return frames.flatMap((frame) => [
    ...wrap(`${troubleCodeText(frame.dtc, own)}. When it appeared:`, INDENT),
    ...(frame.dtc.ambiguous ? wrap(readingsText(frame.dtc), `${INDENT}  `) : []),
    ...valuesOf(frame).flatMap((line) => wrap(line, `${INDENT}  `)),
  ])
}

function frameValues({ torqueMode, values, rest }: FreezeFrame): string[] {
  return [
    ...Object.values(values).map((value) => `${value.name} (SPN ${value.spn}): ${valueText(value)}`),
    ...(torqueMode === null ? [] : [`Engine torque mode, byte as sent: ${bytesText(Uint8Array.of(torqueMode))}`]),
    ...(rest.length === 0 ? [] : [`Further bytes, known to the maker: ${bytesText(rest)}`]),
  ]
}

function expandedValues({ data, parameters }: ExpandedFreezeFrame): string[] {
  return parameters === null
    ? [`bytes ${bytesText(data)}; what they are is not known without a list (DM24) of the node that fits them`]
    : parameters.map(parameterText)
}

/** A parameter by the scale the catalogue has for it, where that takes as many bytes; else its bytes. */
function parameterText({ spn, bytes }: FreezeFrameParameter): string {
  const signal = findSignals(spn)[0]?.signal
  const isScaled = signal?.kind === 'numeric' && signal.bits === bytes.length * 8
  const value = isScaled ? valueText(decodeSignal({ ...signal, at: '1' }, bytes)) : `bytes ${bytesText(bytes)}`
  return `${faultTitle(spn)} (SPN ${spn}): ${value}`
}

/** Monitored systems by how far their tests have come. */
function monitorLines(monitors: readonly (Monitor | CycleMonitor)[]): string[] {
  const names = new Map<string, string[]>()
  for (const monitor of monitors) {
    const label = monitorState(monitor)
    names.set(label, [...(names.get(label) ?? []), monitor.name])
  }
  return [...names].flatMap(([label, members]) => wrap(`monitors, ${label}: ${members.join(', ')}`, INDENT))
}

function monitorState(monitor: Monitor | CycleMonitor): string {
  if ('supported' in monitor && monitor.supported === false) return 'not there'
  if (monitor.complete === null) return 'not told'
  if (monitor.complete) return 'complete'
  return 'enabled' in monitor && monitor.enabled === false ? 'not complete and not enabled' : 'not complete'
}

function problemLines({ code, at }: DiagnosticProblem): string[] {
  return wrap(`Wrong with it, from byte ${at + 1} on: ${DIAGNOSTIC_PROBLEMS[code]}.`, INDENT)
}
