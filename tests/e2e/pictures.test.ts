/**
 * The pictures of docs/guide.md, taken from the viewer as it is. `FIRSTCRANK_UPDATE_PICTURES=1` writes them;
 * otherwise they are taken all the same, so that what the guide shows can still be reached.
 */
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type RunningServer, startServer } from '@firstcrank/server'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { CHROMIUM, launchBrowser, VIEWER_DIST } from '../support/browser.js'

const DOCS = fileURLToPath(new URL('../../docs/', import.meta.url))
const SAMPLES = fileURLToPath(new URL('../../sample-logs/', import.meta.url))
const LAPTOP = { width: 1280, height: 800 }
const PHONE = { width: 390, height: 844 }
const UPDATE = Boolean(process.env['FIRSTCRANK_UPDATE_PICTURES'])

interface Picture {
  readonly name: string
  readonly size: typeof LAPTOP
  readonly theme: 'Day' | 'Night' | 'Sun'
  /** Goes to what is shown, and waits until it is there. */
  readonly show: (page: Page, address: string) => Promise<void>
}

async function openRun(page: Page, address: string, file: string): Promise<void> {
  await page.goto(`${address}#/run/sample:${file}/sheet`)
  await page.locator('.verdict-words').waitFor()
  await page.locator('.plot canvas').first().waitFor()
}

const PICTURES: readonly Picture[] = [
  {
    name: 'runs',
    size: LAPTOP,
    theme: 'Day',
    show: async (page) => {
      await page.locator('.run-table tbody tr', { hasText: 'No fault found' }).first().waitFor()
      await expect.poll(() => page.getByText('being read').count(), { timeout: 60_000 }).toBe(0)
    },
  },
  {
    name: 'sheet',
    size: LAPTOP,
    theme: 'Day',
    show: (page, address) => openRun(page, address, 'blocked-oil-hose.log'),
  },
  {
    name: 'evidence',
    size: LAPTOP,
    theme: 'Day',
    show: async (page, address) => {
      await openRun(page, address, 'five-volt-short.log.gz')
      await page
        .locator('#finding-1')
        .getByRole('button', { name: /^See it 0:41: Sensor supply 1 reads/ })
        .click()
      await page.getByRole('region', { name: /^Sensor supply voltage 1/ }).waitFor()
    },
  },
  {
    name: 'fault',
    size: LAPTOP,
    theme: 'Night',
    show: async (page, address) => {
      await openRun(page, address, 'five-volt-short.log.gz')
      await page.locator('.fault-list button', { hasText: 'Accelerator pedal position 1' }).click()
      await page.getByText('What may be behind it').waitFor()
    },
  },
  {
    name: 'phone',
    size: PHONE,
    theme: 'Sun',
    show: (page, address) => openRun(page, address, 'heater-link-open.log.gz'),
  },
  {
    name: 'notes',
    size: LAPTOP,
    theme: 'Day',
    show: async (page, address) => {
      await page.goto(`${address}#/run/sample:blocked-oil-hose.log/notes`)
      await page.getByRole('textbox', { name: 'Vehicle' }).fill('Rescue truck 7')
      await page
        .getByRole('textbox', { name: 'What was repaired since the run before' })
        .fill('Oil hose of the remote filter was kinked: new hose, refilled.')
      await page.getByRole('checkbox', { name: /^Oil filled/ }).check()
      await page.locator('.keeping', { hasText: 'Saved.' }).waitFor()
    },
  },
  {
    name: 'compare',
    size: LAPTOP,
    theme: 'Day',
    show: async (page, address) => {
      const runs = 'before=sample:pedal-wiper-before.log.gz&after=sample:pedal-wiper-after.log.gz'
      await page.goto(`${address}#/compare?${runs}`)
      await page.locator('.plot canvas').first().waitFor({ timeout: 30_000 })
    },
  },
  {
    name: 'bus',
    size: LAPTOP,
    theme: 'Day',
    show: async (page, address) => {
      await page.goto(`${address}#/run/sample:blocked-oil-hose.log/bus?part=frames&pgn=61444&sa=0&row=200`)
      await page.locator('.bits tbody tr').first().waitFor()
      await page.locator('.reading:empty').waitFor({ state: 'attached' })
    },
  },
]

describe.runIf(CHROMIUM !== undefined)('the pictures of the guide', () => {
  let folder: string
  let server: RunningServer
  let browser: Browser

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'firstcrank-pictures-'))
    const outside = ['clean-first-start.log.gz', 'blocked-oil-hose.log', 'heater-link-open.log.gz']
    server = await startServer({
      library: join(folder, 'library'),
      outside: outside.map((file) => join(SAMPLES, file)),
      port: 0,
      viewer: VIEWER_DIST,
    })
    await server.scan()
    browser = await launchBrowser()
  }, 60_000)

  afterAll(async () => {
    await browser?.close()
    await server?.stop()
    rmSync(folder, { recursive: true, force: true })
  })

  it.each(PICTURES)('$name', async ({ name, size, theme, show }) => {
    const page = await browser.newPage({ viewport: size })
    page.setDefaultTimeout(15_000)
    await page.goto(`${server.url}/#/runs`)
    await page.getByRole('button', { name: theme, exact: true }).click()
    await show(page, `${server.url}/`)
    // Fonts, plots and panes have come to rest.
    await page.waitForTimeout(300)
    const picture = await page.screenshot()
    expect(picture.length).toBeGreaterThan(10_000)
    if (UPDATE) {
      mkdirSync(join(DOCS, 'pictures'), { recursive: true })
      writeFileSync(join(DOCS, 'pictures', `${name}.png`), picture)
    }
    await page.close()
  })

  it('are those the guide shows, each with words for who cannot see it', () => {
    const shown = [...readFileSync(join(DOCS, 'guide.md'), 'utf8').matchAll(/!\[(.+?)\]\(pictures\/(.+?)\.png\)/g)]
    const names = PICTURES.map(({ name }) => name)
    expect(new Set(shown.map(([, , name]) => name))).toEqual(new Set(names))
    for (const [, words] of shown) expect(words?.length).toBeGreaterThan(20)
    const kept = existsSync(join(DOCS, 'pictures')) ? readdirSync(join(DOCS, 'pictures')) : []
    expect(new Set(kept)).toEqual(new Set(names.map((name) => `${name}.png`)))
  })
})
