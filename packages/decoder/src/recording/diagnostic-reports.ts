/**
 * What nodes say in diagnostic messages beside fault lists and clear commands: freeze frames, readiness,
 * calibrations and the like. Each content once, with when it was first and last sent.
 */
import type { Message } from '../bus/message.js'
import type { Clear, IndividualClear } from '../diagnostics/clears.js'
import type { DiagnosticMessage } from '../diagnostics/decode.js'
import type { FaultList } from '../diagnostics/fault-list.js'

/** A diagnostic message that is neither a fault list nor a clear command. */
export type ReportMessage = Exclude<DiagnosticMessage, FaultList | Clear | IndividualClear>

/** What one node said, to one destination. */
export interface DiagnosticReport {
  readonly channel: number
  readonly sa: number
  readonly da: number
  readonly pgn: number
  /** Microseconds. */
  readonly firstTime: number
  lastTime: number
  /** Messages with this content. */
  count: number
  /** As last read: a DM25 is understood from its sender's DM24 on. */
  says: ReportMessage
}

/** How much is kept. Common practice: more is searched in the log, not read in a list. */
const LIMITS = {
  /** Groups, source and destination taken together. */
  streams: 256,
  /** Contents of one stream: the first ones and the latest. */
  contents: 16,
  /** Bytes of a message: the longest of the shorter transport protocol, 255 packets of 7 bytes. */
  bytes: 1785,
} as const

/** Collects the reports of a recording. */
export class DiagnosticReports {
  /** Messages whose content is not kept: there were too many contents, or it was too long. */
  dropped = 0
  readonly #streams = new Map<string, Map<string, DiagnosticReport>>()

  /** Takes a message and what it says. */
  add(says: ReportMessage, { channel, sa, da, pgn, time, payload }: Message): void {
    const contents = payload.length > LIMITS.bytes ? undefined : this.#contentsOf([channel, pgn, sa, da].join())
    if (contents === undefined) {
      this.dropped++
      return
    }
    const content = payload.join()
    const known = contents.get(content)
    if (known !== undefined) {
      known.lastTime = time
      known.count++
      known.says = says
      return
    }
    if (contents.size >= LIMITS.contents) {
      const [latest, report] = [...contents].at(-1) as [string, DiagnosticReport]
      contents.delete(latest)
      this.dropped += report.count
    }
    contents.set(content, { channel, sa, da, pgn, firstTime: time, lastTime: time, count: 1, says })
  }

  /** In the order they were first sent. */
  list(): DiagnosticReport[] {
    return [...this.#streams.values()]
      .flatMap((contents) => [...contents.values()])
      .sort((a, b) => a.firstTime - b.firstTime)
  }

  #contentsOf(stream: string): Map<string, DiagnosticReport> | undefined {
    const known = this.#streams.get(stream)
    if (known !== undefined || this.#streams.size >= LIMITS.streams) return known
    const contents = new Map<string, DiagnosticReport>()
    this.#streams.set(stream, contents)
    return contents
  }
}
