/** The hand-over report as it will be printed, to be printed or saved as one file. */
import { useEffect, useRef, useState } from 'preact/hooks'
import { saveFile } from '../parts/save-file.js'
import { loadPart } from '../recording/contact.js'
import type { OpenRun } from '../recording/use-run.js'
import { useSettings } from '../state/settings.js'
import { text } from '../words/text.js'

/** The page. */
export function ReportPage({ run }: { readonly run: OpenRun }) {
  const { report, name } = run
  const { units } = useSettings()
  const [html, setHtml] = useState<string | null>(null)
  const host = useRef<HTMLElement>(null)
  useEffect(() => {
    let gone = false
    if (report !== null) {
      loadPart(() => import('../recording/render-report.js')).then(
        ({ renderReport }) => !gone && setHtml(renderReport(report, units)),
        () => undefined,
      )
    }
    return () => {
      gone = true
    }
  }, [report, units])
  useEffect(() => {
    if (host.current !== null && html !== null) showDocument(host.current, html)
  }, [html])
  return (
    <main id="main" class="sheet report">
      <div class="report-bar">
        <h1>{text.report.title}</h1>
        <button type="button" disabled={html === null} onClick={() => print()}>
          {text.report.print}
        </button>
        <button
          type="button"
          disabled={html === null}
          onClick={() =>
            html !== null &&
            saveFile(new Blob([html], { type: 'text/html' }), `${name.replace(/\.log(\.gz)?$/, '')}.html`)
          }
        >
          {text.report.save}
        </button>
      </div>
      {report === null && <p class="note">{text.report.none}</p>}
      <section ref={host} class="report-paper" aria-label={text.report.preview} />
    </main>
  )
}

/**
 * Shows a whole document inside an element, apart from the page's own style. Its style goes in as a
 * constructed sheet, which the security policy allows where it forbids style in the text.
 */
function showDocument(host: HTMLElement, html: string): void {
  const root = host.shadowRoot ?? host.attachShadow({ mode: 'open' })
  const sheet = new CSSStyleSheet()
  let style = ''
  // Taken out as text: a policy that forbids style in the page is asked while a document is parsed.
  const bare = html.replaceAll(/<style>([\s\S]*?)<\/style>/g, (_, rules: string) => {
    style += rules
    return ''
  })
  const parsed = new DOMParser().parseFromString(bare, 'text/html')
  // Inside a shadow root the element that stands for the page is its host.
  sheet.replaceSync(style.replaceAll(/(^|[\s,}])(:root|html|body)(?=[\s,{:])/g, '$1:host'))
  root.adoptedStyleSheets = [sheet]
  for (const element of parsed.querySelectorAll('script, title, meta')) element.remove()
  // The page has landmarks of its own; those of the document become plain blocks here. A header may keep its
  // element, by which the report's style knows it.
  for (const head of parsed.querySelectorAll('header, footer')) head.setAttribute('role', 'presentation')
  for (const landmark of parsed.querySelectorAll('main, nav')) {
    const block = parsed.createElement('div')
    block.className = `${landmark.className} ${landmark.localName}`
    block.append(...landmark.childNodes)
    landmark.replaceWith(block)
  }
  root.replaceChildren(...parsed.body.childNodes)
}
