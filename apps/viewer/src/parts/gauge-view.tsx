/** What a dash gauge on this bus gets: each figure, the lamps, whose faults it shows, and why it may show nothing. */
import type { Evidence, GaugeView } from '@firstcrank/analysis'
import { useSentence } from '../state/sentence.js'
import { formatTime } from '../state/time.js'
import { text } from '../words/text.js'
import { EvidenceList } from './evidence-list.js'
import { ScrollBox } from './scroll-box.js'

interface GaugeProps {
  readonly view: GaugeView
  /** Microseconds of the axis' zero. */
  readonly zero: number
  readonly onSee: (evidence: Evidence) => void
}

/** One engine's gauge, folded. */
export function GaugeDetails({ view, zero, onSee }: GaugeProps) {
  const { vitals, faults, reasons, engine, expects } = view
  const say = useSentence()
  const steady = vitals.filter(({ shown }) => shown === 'value').length
  return (
    <details class="all-checks">
      <summary>
        <h2>{text.gauge.title(engine ?? expects)}</h2>
        <span class="faint">{text.gauge.counts(steady, vitals.length)}</span>
      </summary>
      <p class="faint">{text.gauge.lead(expects)}</p>
      <ScrollBox label={text.gauge.title(engine ?? expects)}>
        <table class="gauge-table">
          <thead>
            <tr>
              <th scope="col">{text.gauge.figure}</th>
              <th scope="col">{text.gauge.gets}</th>
            </tr>
          </thead>
          <tbody>
            {vitals.map(({ id, title, shown, text: words }) => (
              <tr key={id}>
                <th scope="row">{title}</th>
                <td title={say(words)}>{text.gauge.shown[shown]}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </ScrollBox>
      <GaugeLamps view={view} zero={zero} onSee={onSee} />
      {faults.map(({ sa, title, count, why }) => (
        <p key={sa}>
          {text.gauge.faultsOf(title, count)} {say(why)}
        </p>
      ))}
      {reasons.length > 0 && <h3>{text.gauge.reasons}</h3>}
      {reasons.map(({ id, text: words, advice, evidence }) => (
        <details key={id} class="reason">
          <summary>{say(words)}</summary>
          <p>{say(advice)}</p>
          <EvidenceList evidence={evidence} zero={zero} onSee={onSee} />
        </details>
      ))}
    </details>
  )
}

/** When which lamp was lit. `during` leaves those that were not lit then. */
export function GaugeLamps({ view, zero, onSee, during }: GaugeProps & { during?: { from: number; to: number } }) {
  const lamps = view.lamps
    .filter(({ from, to }) => during === undefined || (from <= during.to && to >= during.from))
    .sort((a, b) => a.from - b.from)
  if (lamps.length === 0) return <p>{text.gauge.noLamps}</p>
  return (
    <ul class="evidence">
      {lamps.map(({ sa, lamp, name, flashes, from, to }) => {
        const [on, off] = [from, to].map((time) => formatTime((time - zero) / 1e6, 1)) as [string, string]
        const words = text.gauge.lamp(name, flashes, on, off)
        return (
          <li key={`${sa}${lamp}${from}`}>
            {words}{' '}
            <button
              type="button"
              class="see"
              aria-label={text.sheet.evidenceAt(on, words)}
              onClick={() => onSee({ text: words, from, to, signals: [] })}
            >
              {`${text.sheet.evidence} ${on}`}
            </button>
          </li>
        )
      })}
    </ul>
  )
}
