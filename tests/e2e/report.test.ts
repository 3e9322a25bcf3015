/** The pages that the command writes, in a browser: they open from a file, fetch nothing, and can be read by all. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import {
  analyse,
  compareRuns,
  historyEntry,
  historyOf,
  type Run,
  renderComparison,
  renderHistory,
  renderHtml,
} from '@firstcrank/analysis'
import { openRecording } from '@firstcrank/decoder'
import { writeLog } from '@firstcrank/simulator'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { accessibilityProblems, CHROMIUM, launchBrowser } from '../support/browser.js'
import { utf8 } from '../support/log.js'

if (CHROMIUM === undefined) console.warn('Tests in the browser do not run: no Chromium was found on this system.')

const SIZES = { laptop: { width: 1280, height: 800 }, phone: { width: 390, height: 844 } } as const
const folder = mkdtempSync(join(tmpdir(), 'firstcrank-pages-'))

async function runOf(name: string): Promise<Run> {
  const recording = await openRecording(utf8(writeLog(name, { seed: 3 }).text), { summary: true })
  return { recording, report: analyse(recording, undefined, { name }), title: name }
}

describe.runIf(CHROMIUM !== undefined)('pages in a browser', () => {
  let browser: Browser
  const files: Record<string, string> = {}

  beforeAll(async () => {
    browser = await launchBrowser()
    const [broken, good] = [await runOf('missing-air-mass-signal'), await runOf('clean-first-start')]
    const pages = {
      report: renderHtml(broken.report),
      comparison: renderComparison(compareRuns(broken, good), 'html'),
      history: renderHistory(historyOf([broken, good].map(historyEntry), []), 'html'),
    }
    for (const [name, page] of Object.entries(pages)) {
      files[name] = join(folder, `${name}.html`)
      writeFileSync(files[name], page)
    }
  }, 60_000)

  afterAll(async () => {
    await browser?.close()
    rmSync(folder, { recursive: true })
  })

  const CASES = ['report', 'comparison', 'history'].flatMap((name) =>
    (['laptop', 'phone'] as const).map((size) => [name, size] as const),
  )

  test.each(CASES)('%s on a %s: nothing to complain of', async (name, size) => {
    const page = await browser.newPage({ viewport: SIZES[size] })
    const asked: string[] = []
    const said: string[] = []
    page.on('request', (request) => asked.push(request.url()))
    page.on('console', (message) => said.push(message.text()))
    page.on('pageerror', (error) => said.push(String(error)))
    await page.goto(pathToFileURL(files[name]).href)
    expect(asked).toEqual([pathToFileURL(files[name]).href])
    expect(await page.locator('h1').count()).toBe(1)
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)
    expect(wide, 'pixels that stick out to the right').toBeLessThanOrEqual(0)
    expect(said).toEqual([])
    expect(await accessibilityProblems(page)).toEqual([])
    await page.close()
  })

  /** Sheets less the margins the page asks for, in pixels of 1/96 inch. */
  const PAPER = { A4: 695, Letter: 717 } as const

  test.each(['A4', 'Letter'] as const)('the report prints on %s with nothing cut off', async (format) => {
    const page = await browser.newPage({ viewport: { width: PAPER[format], height: 1000 } })
    await page.goto(pathToFileURL(files['report']).href)
    await page.emulateMedia({ media: 'print' })
    const wide = await page.evaluate(
      () =>
        [...document.querySelectorAll('main *')].filter(
          (element) =>
            element.scrollWidth > element.clientWidth + 1 &&
            element.clientWidth > 0 &&
            getComputedStyle(element).overflowX !== 'visible',
        ).length,
    )
    expect(wide, 'elements that hide a part of themselves').toBe(0)
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(PAPER[format])
    const sheets = (await page.pdf({ format })).toString('latin1').match(/\/Type\s*\/Page\b/g)?.length ?? 0
    expect(sheets).toBeGreaterThan(1)
    expect(sheets).toBeLessThan(16)
    await page.close()
  })
})
