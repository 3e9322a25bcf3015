/** The signals of a recording by the short keys that addresses use, and how they are searched. */
import type { RecordingInfo, SignalInfo, SignalRef } from '@firstcrank/feed'

/** Key of a signal in an address: channel number, source address, PGN, SPN, instance where there is one. */
export function signalId(info: Pick<RecordingInfo, 'channels'>, ref: SignalRef): string {
  const channel = info.channels.indexOf(ref.channel)
  const instance = ref.instance === undefined ? '' : `.${ref.instance}`
  return `${channel}.${ref.sa}.${ref.pgn}.${ref.spn}${instance}`
}

/** Every signal by its key; of several destinations the one with the most messages. */
export function signalTable(info: RecordingInfo): ReadonlyMap<string, SignalInfo> {
  const table = new Map<string, SignalInfo>()
  for (const signal of info.signals) {
    const id = signalId(info, signal)
    const known = table.get(id)
    if (known === undefined || signal.count > known.count) table.set(id, signal)
  }
  return table
}

/** What asks for a signal. */
export function refOf({ channel, sa, pgn, spn, instance }: SignalInfo): SignalRef {
  return { channel, sa, pgn, spn, ...(instance === undefined ? {} : { instance }) }
}

/** Signals whose name, SPN or group has every word of a text, those with values first. */
export function searchSignals(signals: readonly SignalInfo[], text: string, most: number): readonly SignalInfo[] {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean)
  const scored = signals.flatMap((signal) => {
    const name = signal.name.toLowerCase()
    const number = `${signal.spn}`
    const group = `${signal.group.toLowerCase()} ${signal.pgn}`
    let score = signal.valid ? 0 : 10
    for (const word of words) {
      if (number === word || signal.group.toLowerCase() === word) continue
      if (name.startsWith(word)) score += 1
      else if (name.includes(word)) score += 2
      else if (number.startsWith(word) || group.includes(word)) score += 3
      else return []
    }
    return [{ signal, score }]
  })
  return scored
    .sort((a, b) => a.score - b.score || a.signal.name.localeCompare(b.signal.name) || a.signal.sa - b.signal.sa)
    .slice(0, most)
    .map(({ signal }) => signal)
}

/** The signal of an SPN that is most worth looking at: with values, from the lowest address, the most messages. */
export function bestSignal(signals: readonly SignalInfo[], spn: number, sa?: number): SignalInfo | undefined {
  return signals
    .filter((signal) => signal.spn === spn && (sa === undefined || signal.sa === sa))
    .sort((a, b) => Number(b.valid) - Number(a.valid) || a.sa - b.sa || b.count - a.count)[0]
}
