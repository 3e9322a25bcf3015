/** What a node says in a diagnostic report, line by line. */
import type { ReportInfo, ReportLine } from '@firstcrank/feed'
import type { UnitChoice } from '../state/choices.js'
import { formatQuantity, scaleOf } from '../state/quantity.js'
import { useSettings } from '../state/settings.js'
import { text } from '../words/text.js'

/** Words longer than this stand below their label, so that no number is broken on a phone. */
const LONG = 14

/** Labels and values. */
export function ReportLines({ lines }: { readonly lines: readonly ReportLine[] }) {
  const { units } = useSettings()
  return (
    <dl class="said">
      {lines.map((line, place) => {
        const words = valueWords(line, units)
        return (
          <div key={`${place}/${line.label}`} class={words.length > LONG ? 'long' : undefined}>
            <dt>
              {line.label} {line.spn !== null && <span class="faint">SPN {line.spn}</span>}
            </dt>
            <dd>{words}</dd>
          </div>
        )
      })}
    </dl>
  )
}

function valueWords({ value, status, unit, resolution }: ReportLine, units: UnitChoice): string {
  if (value === null) return text.plots.status[status] ?? status
  return typeof value === 'string' ? value : formatQuantity(value, scaleOf(unit, resolution, units))
}

/** Whether it holds freeze frames. */
export function isFreezeFrame({ kind }: ReportInfo): boolean {
  return kind === 'freeze-frames' || kind === 'expanded-freeze-frames'
}

/** Reports of one group from one node to one destination: the latest content, and the others, latest first. */
export interface ReportStream {
  readonly latest: ReportInfo
  readonly earlier: readonly ReportInfo[]
}

/** Reports by stream: freeze frames first, then by the number of their message. */
export function reportStreams(reports: readonly ReportInfo[]): readonly ReportStream[] {
  const streams = new Map<string, ReportInfo[]>()
  for (const report of reports) {
    const key = [report.channel, report.sa, report.pgn, report.da].join('/')
    const known = streams.get(key)
    if (known === undefined) streams.set(key, [report])
    else known.push(report)
  }
  return [...streams.values()]
    .map((contents) => contents.sort((a, b) => b.lastTime - a.lastTime))
    .flatMap(([latest, ...earlier]) => (latest === undefined ? [] : [{ latest, earlier }]))
    .sort((a, b) => rankOf(a.latest) - rankOf(b.latest) || a.latest.da - b.latest.da)
}

const rankOf = (report: ReportInfo): number => report.dm - (isFreezeFrame(report) ? 1_000 : 0)
