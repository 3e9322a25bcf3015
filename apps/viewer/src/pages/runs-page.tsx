/** The list of runs: what this device has opened, the server's library where there is one, practice logs. */
import type { Run, RunsPage as RunsPageOf } from '@firstcrank/feed'
import { useEffect, useState } from 'preact/hooks'
import { PickBar, PickBox } from '../parts/compare-pick.js'
import { fits } from '../parts/run-choices.js'
import { Stamp, type StampKind } from '../parts/stamp.js'
import { type Card, cardKeeper } from '../recording/card.js'
import { dropKept, type KeptFile, listKept, watchKept } from '../recording/kept-files.js'
import { findServer, listRuns, watchLibrary } from '../recording/server.js'
import { formatBytes } from '../state/quantity.js'
import { formatRoute, runRoute } from '../state/route.js'
import { useSentence } from '../state/sentence.js'
import { formatDuration, formatMoment } from '../state/time.js'
import { sampleTitle } from '../words/labels.js'
import { text } from '../words/text.js'

/** The page. */
export function RunsPage({ onFiles }: { readonly onFiles: (files: readonly File[]) => void }) {
  const [served, setServed] = useState(false)
  useEffect(() => {
    document.title = `${text.runs.title} · ${text.name}`
    findServer().then(
      (server) => setServed(server !== null),
      () => undefined,
    )
  }, [])
  const choose = (event: Event & { currentTarget: HTMLInputElement }): void => {
    onFiles([...(event.currentTarget.files ?? [])])
    // The same file may be chosen again.
    event.currentTarget.value = ''
  }
  return (
    <main id="main" class="sheet runs">
      <h1>{text.runs.title}</h1>
      <p class="lead">{served ? text.runs.leadServer : text.runs.lead}</p>
      <div class="drop">
        <p class="drop-words">{text.runs.drop}</p>
        <p class="faint">{text.runs.dropFormats}</p>
        <label class="button">
          {text.runs.choose}
          <input type="file" class="hidden" multiple accept=".log,.txt,.gz,.candump" onChange={choose} />
        </label>
      </div>
      {served ? <Library /> : <Kept />}
      <Samples />
    </main>
  )
}

interface Row {
  /** As in an address: `file:ID`. */
  readonly key: string
  /** Microseconds of its beginning; null where the log has no date. */
  readonly from: number | null
  readonly href: string
  readonly name: string
  readonly detail: string
  readonly date: string
  readonly length: string
  readonly faults: string
  readonly verdict: string
  readonly level: string
  readonly forget?: () => void
}

function RunTable({ rows }: { readonly rows: readonly Row[] }) {
  const { columns } = text.runs
  const say = useSentence()
  return (
    <table class="run-table card-table">
      <thead>
        <tr>
          <th scope="col">{columns.verdict}</th>
          <th scope="col">{columns.name}</th>
          <th scope="col">{columns.date}</th>
          <th scope="col">{columns.length}</th>
          <th scope="col">{columns.faults}</th>
          <th scope="col">
            <span class="hidden">{text.pick.column}</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.key}>
            <td>
              {row.level in text.sheet.stamps ? (
                <Stamp
                  kind={row.level as StampKind}
                  word={text.sheet.stamps[row.level as keyof typeof text.sheet.stamps]}
                />
              ) : (
                <span class="faint">{text.runs.levels[row.level] ?? text.runs.notRead}</span>
              )}
            </td>
            <td>
              <a href={row.href}>{row.name}</a>
              <span class="run-words">{say(row.verdict) || row.detail}</span>
            </td>
            <td data-name={columns.date}>{row.date}</td>
            <td data-name={columns.length}>{row.length}</td>
            <td data-name={columns.faults}>{row.faults}</td>
            <td>
              {row.level !== 'unreadable' && <PickBox id={row.key} name={row.name} />}
              {row.forget !== undefined && (
                <button type="button" class="plain" aria-label={text.runs.forget(row.name)} onClick={row.forget}>
                  {text.runs.forgetShort}
                </button>
              )}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

/** A log this browser keeps, with what a person wrote to it. */
type KeptRun = KeptFile & Pick<Card, 'title' | 'vehicle'>

async function listKeptRuns(): Promise<readonly KeptRun[]> {
  const files = await listKept()
  return Promise.all(
    files.map(async (file) => {
      const { title, vehicle } = await cardKeeper(`file:${file.id}`).load()
      return { ...file, title, vehicle }
    }),
  )
}

function Kept() {
  const [words, setWords] = useState('')
  const [files, setFiles] = useState<readonly KeptRun[] | null>(null)
  const load = (): void => {
    listKeptRuns().then(setFiles, () => setFiles([]))
  }
  useEffect(() => {
    load()
    return watchKept(load)
  }, [])
  const all = (files ?? []).map(
    (file): Row => ({
      key: `file:${file.id}`,
      from: file.from,
      href: formatRoute(runRoute(`file:${file.id}`)),
      name: file.title || file.name,
      detail: [file.vehicle, formatBytes(file.bytes)].filter(Boolean).join(' · '),
      date: file.from === null ? (file.seconds === null ? '' : text.runs.undated) : formatMoment(file.from),
      length: file.seconds === null ? '' : formatDuration(file.seconds),
      faults: file.faults === null ? '' : `${file.faults}`,
      verdict: file.verdict === '' ? '' : withVehicle(file.vehicle, file.verdict),
      level: file.level,
      forget: () => {
        dropKept(file.id).catch(() => undefined)
      },
    }),
  )
  const rows = all.filter(({ name, verdict, detail }) => fits(`${name} ${verdict} ${detail}`, words))
  return (
    <section aria-labelledby="kept-title">
      <h2 id="kept-title">{text.runs.kept}</h2>
      {all.length > 0 && <SearchField words={words} onWords={setWords} />}
      {rows.length === 0 ? (
        <p class="note">{files === null ? '' : all.length === 0 ? text.runs.keptNone : text.runs.noMatch}</p>
      ) : (
        <RunTable rows={rows} />
      )}
      <PickBar runs={rows} />
    </section>
  )
}

function SearchField({ words, onWords }: { readonly words: string; readonly onWords: (words: string) => void }) {
  return (
    <label class="field">
      {text.runs.search}
      <input type="search" value={words} onInput={(event) => onWords(event.currentTarget.value)} />
    </label>
  )
}

const withVehicle = (vehicle: string, verdict: string): string => [vehicle, verdict].filter(Boolean).join(': ')

/** Milliseconds that typing, or news of the library, has to rest. */
const TYPING = 150

function Library() {
  const [words, setWords] = useState('')
  const [page, setPage] = useState<RunsPageOf | 'failed' | null>(null)
  const [revision, setRevision] = useState(0)
  useEffect(() => watchLibrary(setRevision), [])
  useEffect(() => {
    const left = new AbortController()
    const timer = setTimeout(() => {
      listRuns(words, left.signal).then(
        (found) => !left.signal.aborted && setPage(found),
        () => !left.signal.aborted && setPage('failed'),
      )
    }, TYPING)
    return () => {
      left.abort()
      clearTimeout(timer)
    }
  }, [words, revision])
  const failed = page === 'failed'
  const rows = failed || page === null ? [] : page.runs.map(rowOf)
  const more = failed || page === null ? 0 : page.total - rows.length
  return (
    <section aria-labelledby="library-title">
      <h2 id="library-title">{text.runs.library}</h2>
      <SearchField words={words} onWords={setWords} />
      {failed && <p role="alert">{text.runs.libraryFailed}</p>}
      {page !== null && !failed && rows.length === 0 && (
        <p class="note">{words === '' ? text.runs.libraryNone : text.runs.noMatch}</p>
      )}
      {rows.length > 0 && <RunTable rows={rows} />}
      {more > 0 && <p class="note">{text.runs.more(more)}</p>}
      <PickBar runs={rows} />
    </section>
  )
}

function rowOf({ id, title, vehicle, file, summary, verdict, state }: Run): Row {
  const seconds = summary?.from != null && summary.to !== null ? (summary.to - summary.from) / 1e6 : null
  return {
    key: `run:${id}`,
    from: summary?.dated ? summary.from : null,
    href: formatRoute(runRoute(`run:${id}`)),
    name: title || file.name,
    detail: vehicle,
    date: summary?.dated && summary.from !== null ? formatMoment(summary.from) : text.runs.undated,
    length: seconds === null ? '' : formatDuration(seconds),
    faults: summary === null ? '' : `${summary.faultCount}`,
    verdict: withVehicle(vehicle, verdict?.verdict ?? ''),
    level: state === 'reading' ? 'reading' : verdict?.stop ? 'stop' : (verdict?.level ?? ''),
  }
}

function Samples() {
  const [list, setList] = useState<readonly { readonly file: string; readonly bytes: number }[]>([])
  const [asked, setAsked] = useState(false)
  useEffect(() => {
    fetch('samples/list.json')
      .then((response) => response.json())
      .then(setList, () => undefined)
      .finally(() => setAsked(true))
  }, [])
  return (
    <section aria-labelledby="samples-title">
      <h2 id="samples-title">{text.runs.samples}</h2>
      <p>{text.runs.samplesLead}</p>
      {asked && list.length === 0 && <p class="note">{text.runs.samplesNone}</p>}
      <ul class="samples">
        {list.map(({ file, bytes }) => (
          <li key={file}>
            <a class="sample" href={formatRoute(runRoute(`sample:${file}`))}>
              <strong>{sampleTitle(file)}</strong>
              <span class="faint">{formatBytes(bytes)}</span>
            </a>
          </li>
        ))}
      </ul>
    </section>
  )
}
