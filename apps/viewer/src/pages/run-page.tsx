/** One run: which part of it is shown, how far it has been read, or why it cannot be. */
import { useEffect, useState } from 'preact/hooks'
import { Later } from '../parts/later.js'
import { failureWords } from '../parts/taken-files.js'
import { startReplay } from '../recording/server.js'
import { type OpenRun, useRun } from '../recording/use-run.js'
import { go } from '../state/location.js'
import { compareRoute, formatRoute, type Route, VIEWS } from '../state/route.js'
import { text } from '../words/text.js'
import { SheetPage } from './sheet-page.js'

const loadBus = () => import('./bus-page.js').then(({ BusPage }) => BusPage)
const loadNotes = () => import('./notes-page.js').then(({ NotesPage }) => NotesPage)
const loadReport = () => import('./report-page.js').then(({ ReportPage }) => ReportPage)

/** The page. */
export function RunPage({ route }: { readonly route: Extract<Route, { page: 'run' }> }) {
  const run = useRun(route.run)
  const { state, info } = run
  useEffect(() => {
    document.title = `${run.name} · ${text.name}`
  }, [run.name])
  if (state === 'failed') return <Failure run={run} />
  return (
    <>
      <nav class="views" aria-label={text.views.label}>
        {VIEWS.map((view) => (
          <a key={view} href={formatRoute({ ...route, view })} aria-current={route.view === view ? 'page' : undefined}>
            {text.views[view]}
          </a>
        ))}
        {route.run.startsWith('run:') && <ReplayStart run={route.run.slice(4)} />}
        <a class="compare-with" href={formatRoute(compareRoute(route.run, null))}>
          {text.pick.with}
        </a>
        <ReadingLine run={run} />
      </nav>
      {info === null ? (
        <main id="main" class="sheet blank">
          <p class="note">{text.opening.opening}</p>
        </main>
      ) : (
        <>
          {route.view === 'sheet' && <SheetPage run={run} state={route.sheet} />}
          {route.view === 'notes' && <Later load={loadNotes} props={{ run }} />}
          {route.view === 'bus' && <Later load={loadBus} props={{ run, info, state: route.bus }} />}
          {route.view === 'report' && <Later load={loadReport} props={{ run }} />}
        </>
      )}
    </>
  )
}

/** Shows the run on the live page as if it came in now. */
function ReplayStart({ run }: { readonly run: string }) {
  const [failed, setFailed] = useState(false)
  const start = (): void => {
    startReplay(run).then(
      (source) => go({ page: 'live', source }),
      () => setFailed(true),
    )
  }
  return (
    <span class="replay-start">
      <button type="button" onClick={start}>
        {text.replay.start}
      </button>
      <span role="alert">{failed && text.replay.failed}</span>
    </span>
  )
}

/** How far the log has been read; it takes its place before and after, so that nothing moves. */
function ReadingLine({ run }: { readonly run: OpenRun }) {
  const { progress, state } = run
  const share = progress?.total ? Math.floor((progress.bytes / progress.total) * 100) : 0
  const words = state === 'ready' ? '' : progress?.complete ? text.opening.judging : text.opening.reading(share)
  return (
    <div class="reading" role="status">
      {words !== '' && (
        <>
          <progress max={100} value={share} aria-label={text.opening.label} />
          <span>{words}</span>
        </>
      )}
    </div>
  )
}

function Failure({ run }: { readonly run: OpenRun }) {
  const code = run.failure?.code ?? 'other'
  const detail = run.failure?.detail ?? ''
  return (
    <main id="main" class="sheet blank">
      <h1>{text.failure.title}</h1>
      <p class="lead">{run.name}</p>
      {/* Of a file that is no log the detail says more than the rule it breaks. */}
      {code === 'not-a-log' && detail !== '' && <p>{detail}</p>}
      <p>{failureWords(code)}</p>
      {code !== 'not-a-log' && detail !== '' && <p class="faint">{detail}</p>}
      <p>
        <a href="#/runs">{text.failure.back}</a>
      </p>
    </main>
  )
}
