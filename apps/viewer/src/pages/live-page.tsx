/** The live page: vitals to be read at two metres, what is expected next, the last minute, active faults. */
import { MANUAL_CHECKS } from '@firstcrank/analysis'
import type { SourceInfo } from '@firstcrank/feed'
import { useEffect, useRef, useState } from 'preact/hooks'
import { soundAlarm } from '../parts/alarm.js'
import { LiveFigures } from '../parts/live-figures.js'
import { Vital, vitalName } from '../parts/live-vital.js'
import { isStale, NEW_WATCH, type Sight, type Stage, stageOf, watchOn } from '../parts/live-watch.js'
import { ReplayBar } from '../parts/replay-bar.js'
import { Trend } from '../parts/trend.js'
import { feed, findServer, watchSources } from '../recording/server.js'
import { type LiveState, useLive, type VitalChoice } from '../recording/use-live.js'
import { formatRoute } from '../state/route.js'
import { text } from '../words/text.js'

const VITALS: readonly VitalChoice[] = [
  { id: 'speed', spns: [190] },
  { id: 'oil', spns: [100] },
  { id: 'coolant', spns: [110] },
  { id: 'volts', spns: [168, 158] },
]
/** Milliseconds between looks at how old the data are. */
const TICK = 200

/** The page: the choice of sources, or one of them. */
export function LivePage({ source }: { readonly source: string | null }) {
  const [sources, setSources] = useState<readonly SourceInfo[] | 'none' | null>(null)
  useEffect(() => {
    document.title = `${text.live.title} · ${text.name}`
    let stop: () => void = () => undefined
    let gone = false
    const start = async (): Promise<void> => {
      if ((await findServer()) === null) return setSources('none')
      await feed()
      if (!gone) stop = watchSources(setSources)
    }
    start().catch(() => setSources('none'))
    return () => {
      gone = true
      stop()
    }
  }, [])
  return (
    <main id="main" class="sheet live">
      <h1>{text.live.title}</h1>
      <p class="safety">{text.live.safety}</p>
      {sources === 'none' && <p class="note">{text.live.noServer}</p>}
      {(sources === 'none' || sources?.length === 0) && <HowTo />}
      {sources !== null && sources !== 'none' && <SourceList sources={sources} chosen={source} />}
      {source !== null && sources !== 'none' && (
        <LiveSheet key={source} source={source} told={sources?.find(({ id }) => id === source) ?? null} />
      )}
    </main>
  )
}

function HowTo() {
  return (
    <section aria-labelledby="how-title">
      <h2 id="how-title">{text.live.how}</h2>
      {text.live.howSteps.map((step) => (
        <p key={step}>{step}</p>
      ))}
      <pre class="command">
        <code>{text.live.howCommand}</code>
      </pre>
    </section>
  )
}

function SourceList({ sources, chosen }: { readonly sources: readonly SourceInfo[]; readonly chosen: string | null }) {
  if (sources.length === 0) return <p class="note">{text.live.noSource}</p>
  return (
    <nav aria-label={text.live.choose}>
      <ul class="samples">
        {sources.map(({ id, title, state }) => (
          <li key={id}>
            <a
              class="sample"
              href={formatRoute({ page: 'live', source: id })}
              aria-current={id === chosen ? 'page' : undefined}
            >
              <strong>{title}</strong>
              <span class="faint">{text.live.states[state]}</span>
            </a>
          </li>
        ))}
      </ul>
    </nav>
  )
}

function LiveSheet({ source, told }: { readonly source: string; readonly told: SourceInfo | null }) {
  const replay = told?.replay ?? null
  const [paused, setPaused] = useState(false)
  const [sound, setSound] = useState(false)
  const live = useLive(source, VITALS, paused)
  const now = useNow()
  const stage = useStage(live)
  const age = live.came === null ? null : now - live.came
  const stale = age === null || isStale(age, null)
  const alarm = stage.kind === 'no-oil' && !stale
  useEffect(() => (alarm && sound ? soundAlarm() : undefined), [alarm, sound])
  return (
    <>
      <div class="live-bar">
        <p class={stale ? 'fresh stale' : 'fresh'}>{freshWords(live, age, stale, paused)}</p>
        {replay === null && (
          <button type="button" aria-pressed={paused} onClick={() => setPaused(!paused)}>
            {paused ? text.live.resume : text.live.pause}
          </button>
        )}
        <button type="button" aria-pressed={sound} onClick={() => setSound(!sound)}>
          {text.live.sound[sound ? 'on' : 'off']}
        </button>
      </div>
      {told !== null && replay !== null && (
        <>
          <p class="replay-words">{text.live.replay(text.replay.times(replay.speed))}</p>
          <ReplayBar source={told} position={replay} />
        </>
      )}
      <div class="stage-slot">
        <div role="alert">{alarm && <p class="alarm">{text.live.oil}</p>}</div>
        <p class="stage" role="status">
          {sayStage(stage, live.came !== null, stale)}
        </p>
      </div>
      <div class="vitals">
        {VITALS.map(({ id }) => (
          <Vital key={id} id={id} vital={live.vitals.get(id)} now={now} stale={stale} begun={live.came !== null} />
        ))}
      </div>
      <h2>{text.live.trend}</h2>
      <div class="trends">
        {VITALS.map(({ id }) => {
          const vital = live.vitals.get(id)
          return vital && <Trend key={id} vital={vital} name={vitalName(id)} />
        })}
      </div>
      <LiveFigures source={source} paused={paused} />
      <h2>{text.live.faults}</h2>
      {live.faults.length === 0 && <p>{live.came === null ? text.live.noneYet : text.live.faultsNone}</p>}
      <ul class="fault-list">
        {live.faults.map(({ sa, spn, fmi, name }) => (
          <li key={`${sa}/${spn}/${fmi}`} class="live-fault">
            <span class="lane-code">
              {spn}/{fmi}
            </span>{' '}
            {name ?? `SPN ${spn}`} <span class="faint">{text.live.from(sa)}</span>
          </li>
        ))}
      </ul>
      {(stage.kind === 'standing' || stage.kind === 'unknown') && <Before />}
    </>
  )
}

/** What a person makes sure of before the first crank. */
function Before() {
  return (
    <details class="before">
      <summary>
        <h2>{text.live.before}</h2>
      </summary>
      <ul class="steps">
        {MANUAL_CHECKS.filter(({ stage }) => stage === 'before').map(({ id, text: words }) => (
          <li key={id}>
            <label class="step" for={`before-${id}`}>
              <input type="checkbox" id={`before-${id}`} />
              <span>{words}</span>
            </label>
          </li>
        ))}
      </ul>
    </details>
  )
}

/** The stage of the start; every batch is one moment. */
function useStage({ vitals }: LiveState): Stage {
  const watch = useRef(NEW_WATCH)
  const speed = vitals.get('speed')
  const oil = vitals.get('oil')
  const sight: Sight = { time: speed?.time ?? 0, speed: speed?.value ?? null, oil: oil?.value ?? null }
  watch.current = watchOn(watch.current, sight)
  return stageOf(watch.current, sight)
}

/** What is said of the stage: nothing of old data, but that an engine without oil pressure must not be cranked. */
function sayStage(stage: Stage, came: boolean, stale: boolean): string {
  if (!came) return text.live.unknownYet
  return stale && stage.kind !== 'stopped-no-oil' ? text.live.stages.stale : stageWords(stage)
}

function stageWords(stage: Stage): string {
  const words = text.live.stages
  switch (stage.kind) {
    case 'cranking':
      return words.cranking(Math.ceil(stage.left), stage.missed)
    case 'oil-wait':
      return words['oil-wait'](Math.ceil(stage.left))
    case 'no-oil':
      return words['no-oil'](Math.floor(stage.seconds))
    default:
      return words[stage.kind]
  }
}

function freshWords({ state, detail }: LiveState, age: number | null, stale: boolean, paused: boolean): string {
  if (paused) return text.live.paused
  if (state === 'lost') return text.live.lost
  if (state === 'ended') return `${text.live.ended} ${detail}`
  if (age === null) return text.live.waiting
  return stale ? text.live.stale(`${(age / 1_000).toFixed(1)} s`) : text.live.fresh
}

/** The page's clock, often enough that stale data are seen to be so within a second. */
function useNow(): number {
  const [now, setNow] = useState(() => performance.now())
  useEffect(() => {
    const timer = setInterval(() => setNow(performance.now()), TICK)
    return () => clearInterval(timer)
  }, [])
  return now
}
