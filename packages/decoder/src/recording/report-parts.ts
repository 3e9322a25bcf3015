/** What a diagnostic report says, line by line in words: for a terminal and for a page alike. */
import { findSignals } from '../catalog/built-in.js'
import { faultName } from '../catalog/names/index.js'
import type { TroubleCode } from '../diagnostics/dtc.js'
import type { ExpandedFreezeFrame, FreezeFrame, FreezeFrameParameter } from '../diagnostics/freeze-frame.js'
import type { Calibration, MonitorRatio, SpnSupport, SupportedSpn } from '../diagnostics/monitors.js'
import { DIAGNOSTIC_PROBLEMS, type DiagnosticProblem } from '../diagnostics/problem.js'
import type { CycleMonitor, Monitor, Readiness1 } from '../diagnostics/readiness.js'
import { decodeSignal, type SignalValue } from '../signal/value.js'
import type { ReportMessage } from './diagnostic-reports.js'

/** One thing a report says. */
export interface ReportLine {
  readonly label: string
  /** The parameter it is about; null of all else. */
  readonly spn: number | null
  /** A number with its unit and status, or words. */
  readonly value: SignalValue | string
}

/** Lines that belong together. */
export interface ReportPart {
  /** Of a freeze frame the fault it was kept for; null of all else. */
  readonly fault: TroubleCode | null
  readonly lines: readonly ReportLine[]
}

/** A report in words: a part for each freeze frame, one for all else, and one for what is wrong with it. */
export function reportParts(says: ReportMessage): ReportPart[] {
  const problems = problemLines(says.problems)
  return [...contentParts(says), ...(problems.length === 0 ? [] : [plainPart(problems)])]
}

/** What is wrong with a diagnostic message. */
export function problemLines(problems: readonly DiagnosticProblem[]): ReportLine[] {
  return problems.map(({ code, at }) => line(`Wrong with it, from byte ${at + 1} on`, DIAGNOSTIC_PROBLEMS[code]))
}

function contentParts(says: ReportMessage): ReportPart[] {
  switch (says.kind) {
    case 'freeze-frames':
      return frameParts(says.frames, fixedLines)
    case 'expanded-freeze-frames':
      return frameParts(says.frames, listedLines)
    case 'readiness-1':
      return [plainPart([...valueLines(says.values), complianceLine(says), ...monitorLines(says.monitors)])]
    case 'readiness-3':
      return [plainPart([...valueLines(says.values), ...monitorLines(says.monitors)])]
    case 'readiness-2':
    case 'fault-counts':
      return [plainPart(valueLines(says.values))]
    case 'calibrations':
      return [plainPart(says.calibrations.flatMap(calibrationLines))]
    case 'monitor-ratios':
      return [plainPart([...valueLines(says.values), ...says.ratios.map(ratioLine)])]
    case 'spn-support':
      return [plainPart(supportLines(says))]
    case 'stop-start-broadcast':
      return [plainPart([line('Normal broadcasts', says.currentDataLink?.replace('-', ' ') ?? NOT_SENT)])]
    case 'other':
      return [plainPart([line('Known by name only; bytes', bytesText(says.payload))])]
  }
}

const NOT_AVAILABLE = 'not available'
const NOT_SENT = 'not sent'
const NONE = 'none'

const line = (label: string, value: SignalValue | string, spn: number | null = null): ReportLine => ({
  label,
  spn,
  value,
})

const plainPart = (lines: readonly ReportLine[]): ReportPart => ({ fault: null, lines })

function valueLines(values: Readonly<Record<string, SignalValue>>): ReportLine[] {
  return Object.values(values).map((value) => line(value.name, value, value.spn))
}

function frameParts<Frame extends { readonly dtc: TroubleCode }>(
  frames: readonly Frame[],
  linesOf: (frame: Frame) => ReportLine[],
): ReportPart[] {
  if (frames.length === 0) return [plainPart([line('Freeze frames', NONE)])]
  return frames.map((frame) => ({ fault: frame.dtc, lines: linesOf(frame) }))
}

function fixedLines({ torqueMode, values, rest }: FreezeFrame): ReportLine[] {
  return [
    ...valueLines(values),
    ...(torqueMode === null ? [] : [line('Engine torque mode, byte as sent', bytesText(Uint8Array.of(torqueMode)))]),
    ...(rest.length === 0 ? [] : [line('Further bytes, known to the maker', bytesText(rest))]),
  ]
}

function listedLines({ data, parameters }: ExpandedFreezeFrame): ReportLine[] {
  return parameters === null
    ? [line('Bytes, without a list (DM24) of the node that fits them', bytesText(data))]
    : parameters.map(parameterLine)
}

/** A parameter by the scale the catalogue has for it, where that takes as many bytes; else its bytes. */
function parameterLine({ spn, bytes }: FreezeFrameParameter): ReportLine {
  const signal = findSignals(spn)[0]?.signal
  const isScaled = signal?.kind === 'numeric' && signal.bits === bytes.length * 8
  return line(
    parameterName(spn),
    isScaled ? decodeSignal({ ...signal, at: '1' }, bytes) : `bytes ${bytesText(bytes)}`,
    spn,
  )
}

function parameterName(spn: number): string {
  return faultName(spn) ?? 'Not in the public list known here'
}

function complianceLine({ compliance, complianceCode }: Readiness1): ReportLine {
  const code = complianceCode === null ? NOT_AVAILABLE : `code ${complianceCode}`
  return line('Built to comply with', compliance === null ? code : `${compliance} (${code})`, 1220)
}

/** Monitored systems by how far their tests have come. */
function monitorLines(monitors: readonly (Monitor | CycleMonitor)[]): ReportLine[] {
  const names = new Map<string, string[]>()
  for (const monitor of monitors) {
    const state = monitorState(monitor)
    names.set(state, [...(names.get(state) ?? []), monitor.name])
  }
  return [...names].map(([state, members]) => line(`Monitors, ${state}`, members.join(', ')))
}

function monitorState(monitor: Monitor | CycleMonitor): string {
  if ('supported' in monitor && monitor.supported === false) return 'not there'
  if (monitor.complete === null) return 'not told'
  if (monitor.complete) return 'complete'
  return 'enabled' in monitor && monitor.enabled === false ? 'not complete and not enabled' : 'not complete'
}

function calibrationLines({ id, verificationNumber }: Calibration, index: number): ReportLine[] {
  const number = verificationNumber?.toString(16).toUpperCase().padStart(8, '0')
  return [
    line(`Calibration ${index + 1}`, id ?? NOT_AVAILABLE, 1635),
    line('Its verification number', number ?? NOT_AVAILABLE, 1634),
  ]
}

function ratioLine({ spn, numerator, denominator }: MonitorRatio): ReportLine {
  const ran = `ran ${numerator ?? 'an unknown number'} of the ${denominator ?? 'unknown number of'} times it could`
  return line(parameterName(spn), numerator === null && denominator === null ? NOT_AVAILABLE : ran, spn)
}

function supportLines({ supported }: SpnSupport): ReportLine[] {
  const listed = (label: string, wanted: (entry: SupportedSpn) => boolean, size = false): ReportLine => {
    const names = supported.filter(wanted).map((entry) => {
      const bytes = size ? `, ${entry.bytes} ${entry.bytes === 1 ? 'byte' : 'bytes'}` : ''
      return `${parameterName(entry.spn)} (SPN ${entry.spn}${bytes})`
    })
    return line(label, names.length === 0 ? NONE : names.join('; '))
  }
  return [
    listed('In the freeze frame, in this order', ({ inFreezeFrame }) => inFreezeFrame, true),
    listed('Sent as ordinary data', ({ inDataStream }) => inDataStream),
    listed('With test results', ({ inTestResults }) => inTestResults),
  ]
}

function bytesText(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join('') || NONE
}
