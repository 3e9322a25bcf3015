/** One fault: what it means, what speaks for and against it, causes, checks, every episode. */
import type { Cause, Evidence, FaultFinding } from '@firstcrank/analysis'
import type { FaultInfo } from '@firstcrank/feed'
import { formatNumber } from '../state/quantity.js'
import { useSentence } from '../state/sentence.js'
import { formatDuration, formatTime } from '../state/time.js'
import { nodeTitle } from '../words/labels.js'
import { text } from '../words/text.js'
import { EvidenceList } from './evidence-list.js'
import { GaugeLamps } from './gauge-view.js'
import { faultKey, openFault, type SheetFacts } from './model.js'
import { NotedFrames } from './noted-frames.js'
import { ScrollBox } from './scroll-box.js'
import { StepList } from './step-list.js'

interface FaultPaneProps {
  readonly model: SheetFacts
  /** `fault:0.157.18`. */
  readonly open: string
  readonly onClose: () => void
  readonly onOpen: (key: string) => void
  readonly onSee: (evidence: Evidence, from: string | null) => void
  /** Shows what has to do with the fault around its onset; seconds. */
  readonly onOnset: (at: number) => void
}

/** The pane; it takes the place of the findings. */
export function FaultPane({ model, open, onClose, onOpen, onSee, onOnset }: FaultPaneProps) {
  const [sa = 0, spn = 0, fmi = 0] = open.replace('fault:', '').split('.').map(Number)
  const found = openFault(model.report, open)
  const episodes = model.info.faults.filter((fault) => faultKey(fault) === open)
  const [first] = episodes
  const name = found?.fault.name ?? first?.name ?? `SPN ${spn}`
  const node = first === undefined ? `${sa}` : nodeTitle(model.info, first.channel, sa)
  const see = (item: Evidence): void => onSee(item, open)
  return (
    <article class="fault">
      <button type="button" class="back" onClick={onClose}>
        ← {text.fault.close}
      </button>
      <h2 id="fault-title" tabIndex={-1}>
        {name}
      </h2>
      <p class="faint">
        {text.fault.code(spn, fmi)} · {text.fault.from(node)}
      </p>
      {first?.ambiguous && <p class="note">{text.fault.ambiguous}</p>}
      {found === null ? (
        <p class="note fault-pending">{text.fault.notAnalysed}</p>
      ) : (
        <Meaning {...found} model={model} onOpen={onOpen} onSee={see} onOnset={onOnset} />
      )}
      {first !== undefined && <NotedFrames info={model.info} fault={first} />}
      {found !== null && (
        <>
          <h3>{text.fault.causes}</h3>
          <ol class="causes">
            {found.group.causes.map((cause, index) => (
              <CauseItem
                key={cause.id}
                cause={cause}
                model={model}
                open={index === 0}
                id={`cause-${index}`}
                onSee={see}
              />
            ))}
          </ol>
        </>
      )}
      <h3>{text.fault.episodes}</h3>
      <Episodes episodes={episodes} model={model} onSee={see} />
      <GaugeNote model={model} episodes={episodes} node={node} onSee={see} />
    </article>
  )
}

interface MeaningProps {
  readonly fault: FaultFinding
  readonly model: SheetFacts
  readonly onOpen: (key: string) => void
  readonly onSee: (evidence: Evidence) => void
  readonly onOnset: (at: number) => void
}

function Meaning({ fault, model, onOpen, onSee, onOnset }: MeaningProps) {
  const say = useSentence()
  const { meaning, about, supports, contradicts, follows, onset, sa } = fault
  const root =
    follows === null
      ? undefined
      : model.groups.flatMap(({ lanes }) => lanes).find(({ spn, fmi }) => spn === follows.spn && fmi === follows.fmi)
  const onsetAt = Math.max(0, (onset.time - model.zero) / 1e6)
  const phase = onset.phase === null ? text.fault.unknownPhase : text.phases[onset.phase]
  return (
    <>
      <h3>{text.fault.meaning}</h3>
      <p>{say(meaning)}</p>
      {about !== null && <p>{say(about)}</p>}
      {follows !== null && (
        <p>
          <button type="button" class="see" onClick={() => onOpen(faultKey({ sa: root?.sa ?? sa, ...follows }))}>
            {text.fault.follows(`${follows.spn}/${follows.fmi} ${root?.name ?? ''}`)}
          </button>
        </p>
      )}
      <h3>{text.fault.onset}</h3>
      <p>
        {onset.volts === null
          ? text.fault.onsetPhase(phase)
          : text.fault.onsetText(phase, `${formatNumber(onset.volts.value, 1)} ${onset.volts.unit}`)}{' '}
        <button type="button" class="see" onClick={() => onOnset(onsetAt)}>
          {text.fault.plot} {formatTime(onsetAt, 1)}
        </button>
      </p>
      <h3>{text.fault.shows}</h3>
      <h4>{text.fault.supports}</h4>
      {supports.length === 0 ? (
        <p>{text.fault.noSupport}</p>
      ) : (
        <EvidenceList evidence={supports} zero={model.zero} onSee={onSee} />
      )}
      <h4>{text.fault.contradicts}</h4>
      {contradicts.length === 0 ? (
        <p>{text.fault.noContradict}</p>
      ) : (
        <EvidenceList evidence={contradicts} zero={model.zero} onSee={onSee} />
      )}
    </>
  )
}

interface CauseProps {
  readonly cause: Cause
  readonly model: SheetFacts
  readonly open: boolean
  readonly id: string
  readonly onSee: (evidence: Evidence) => void
}

function CauseItem({ cause, model, open, id, onSee }: CauseProps) {
  const say = useSentence()
  const { title, confidence, supported, supports, contradicts, steps } = cause
  return (
    <li>
      <details open={open}>
        <summary>
          <strong>{say(title)}</strong>{' '}
          <span class="faint">
            {text.fault.confidence[confidence]} · {text.fault.facts(supported.facts, supported.of)}
          </span>
        </summary>
        {supports.length > 0 && <h4>{text.fault.supports}</h4>}
        <EvidenceList evidence={supports} zero={model.zero} onSee={onSee} />
        {contradicts.length > 0 && <h4>{text.fault.contradicts}</h4>}
        <EvidenceList evidence={contradicts} zero={model.zero} onSee={onSee} />
        {steps.length > 0 && <h4>{text.fault.steps}</h4>}
        <StepList steps={steps} cautions={model.report?.cautions ?? []} id={id} />
      </details>
    </li>
  )
}

const LAMPS = ['malfunction', 'redStop', 'amberWarning', 'protect'] as const

function Episodes({
  episodes,
  model,
  onSee,
}: {
  episodes: readonly FaultInfo[]
  model: SheetFacts
  onSee: (evidence: Evidence) => void
}) {
  const { episodeColumns: columns } = text.fault
  return (
    <ScrollBox label={text.fault.episodes}>
      <table class="episodes">
        <thead>
          <tr>
            <th scope="col">{columns.number}</th>
            <th scope="col">{columns.on}</th>
            <th scope="col">{columns.off}</th>
            <th scope="col">{columns.length}</th>
            <th scope="col">{columns.count}</th>
            <th scope="col">{columns.lamps}</th>
          </tr>
        </thead>
        <tbody>
          {episodes.map((episode, index) => {
            const end = episode.clearedAt ?? episode.lastSeen
            const lit = LAMPS.filter((lamp) => episode.lamps.some(({ lamps }) => lamps[lamp].state === 'on'))
            return (
              <tr key={`${episode.source}${episode.firstSeen}`}>
                <th scope="row">
                  {index + 1}
                  {episode.state === 'active' ? '' : ` ${episode.state}`}
                </th>
                <td>
                  <button
                    type="button"
                    class="see"
                    onClick={() => onSee({ text: '', from: episode.firstSeen, to: end, signals: [] })}
                  >
                    {formatTime((episode.firstSeen - model.zero) / 1e6, 0.1)}
                  </button>
                </td>
                <td>
                  {episode.clearedAt === null ? text.fault.notCleared : formatTime((end - model.zero) / 1e6, 0.1)}
                </td>
                <td>{formatDuration((end - episode.firstSeen) / 1e6)}</td>
                <td>{episode.counts.at(-1)?.count ?? '–'}</td>
                <td>{lit.length === 0 ? text.fault.noLamp : lit.map((lamp) => text.fault.lamps[lamp]).join(', ')}</td>
              </tr>
            )
          })}
        </tbody>
      </table>
    </ScrollBox>
  )
}

interface GaugeNoteProps {
  readonly model: SheetFacts
  readonly episodes: readonly FaultInfo[]
  readonly node: string
  readonly onSee: (evidence: Evidence) => void
}

function GaugeNote({ model, episodes, node, onSee }: GaugeNoteProps) {
  const say = useSentence()
  const [first] = episodes
  const listed = episodes.filter(({ state }) => state === 'active')
  const view = model.report?.gauge.find(
    ({ channel, faults }) => channel === first?.channel && faults.some(({ sa }) => sa === first?.sa),
  )
  if (view === undefined || first === undefined || listed.length === 0) return null
  const during = {
    from: Math.min(...listed.map(({ firstSeen }) => firstSeen)),
    to: Math.max(...listed.map(({ lastSeen, clearedAt }) => clearedAt ?? lastSeen)),
  }
  return (
    <>
      <h3>{text.fault.gauge}</h3>
      <p>
        {text.fault.gaugeListed(node, listed.length)} {say(view.faults.find(({ sa }) => sa === first.sa)?.why ?? '')}
      </p>
      <h4>{text.fault.gaugeLamps}</h4>
      <GaugeLamps view={view} zero={model.zero} onSee={onSee} during={during} />
    </>
  )
}
