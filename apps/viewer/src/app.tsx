/** The shell: the head of the page, dropped files, and the page the address asks for. */
import { useEffect, useState } from 'preact/hooks'
import { RunPage } from './pages/run-page.js'
import { RunsPage } from './pages/runs-page.js'
import { ContactNote } from './parts/contact-note.js'
import { Later } from './parts/later.js'
import { SettingsBar } from './parts/settings-bar.js'
import { TakenFiles } from './parts/taken-files.js'
import { type FileFailure, openFiles } from './recording/take-file.js'
import { useRoute } from './state/location.js'
import { compareRoute, formatRoute } from './state/route.js'
import { text } from './words/text.js'

const loadCompare = () => import('./pages/compare-page.js').then(({ ComparePage }) => ComparePage)
const loadLive = () => import('./pages/live-page.js').then(({ LivePage }) => LivePage)

/** Everything. */
export function App() {
  const route = useRoute()
  const [dropping, setDropping] = useState(false)
  const [taking, setTaking] = useState<readonly string[]>([])
  const [failures, setFailures] = useState<readonly FileFailure[]>([])
  const take = (files: readonly File[]): void => {
    setFailures([])
    setTaking(files.map(({ name }) => name))
    openFiles(files)
      .then(setFailures, reportError)
      .finally(() => setTaking([]))
  }

  useEffect(() => {
    const over = (event: DragEvent): void => {
      if (!event.dataTransfer?.types.includes('Files')) return
      event.preventDefault()
      setDropping(true)
    }
    const leave = (event: DragEvent): void => {
      if (event.relatedTarget === null) setDropping(false)
    }
    const drop = (event: DragEvent): void => {
      event.preventDefault()
      setDropping(false)
      take([...(event.dataTransfer?.files ?? [])])
    }
    addEventListener('dragover', over)
    addEventListener('dragleave', leave)
    addEventListener('drop', drop)
    return () => {
      removeEventListener('dragover', over)
      removeEventListener('dragleave', leave)
      removeEventListener('drop', drop)
    }
  }, [])

  return (
    <>
      <button type="button" class="skip" onClick={skipToMain}>
        {text.skip}
      </button>
      <header class="head">
        <a class="brand" href="#/runs">
          {text.name}
        </a>
        <nav aria-label={text.nav.label}>
          <a href={formatRoute({ page: 'runs' })} aria-current={route.page === 'runs' ? 'page' : undefined}>
            {text.nav.runs}
          </a>
          <a href={formatRoute(compareRoute(null, null))} aria-current={route.page === 'compare' ? 'page' : undefined}>
            {text.nav.compare}
          </a>
          <a
            href={formatRoute({ page: 'live', source: null })}
            aria-current={route.page === 'live' ? 'page' : undefined}
          >
            {text.nav.live}
          </a>
        </nav>
      </header>
      <SettingsBar />
      <ContactNote quiet={route.page === 'live'} />
      <TakenFiles taking={taking} failures={failures} onClose={() => setFailures([])} />
      {route.page === 'runs' && <RunsPage onFiles={take} />}
      {route.page === 'run' && <RunPage route={route} />}
      {route.page === 'compare' && <Later load={loadCompare} props={{ state: route.compare }} />}
      {route.page === 'live' && <Later load={loadLive} props={{ source: route.source }} />}
      {dropping && <div class="drop-sign">{text.runs.dropNow}</div>}
    </>
  )
}

/** The address holds the route, so that a jump inside the page is done by hand. */
function skipToMain(): void {
  const target = document.getElementById('main')
  target?.setAttribute('tabindex', '-1')
  target?.focus()
}
