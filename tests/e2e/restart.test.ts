/** An open page whose server is stopped and started anew at the same address, with the same pages or with others. */
import {
  copyFileSync,
  cpSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { PassThrough } from 'node:stream'
import { fileURLToPath } from 'node:url'
import { type RunningServer, StreamSource, startServer } from '@firstcrank/server'
import type { Browser, Page } from 'playwright-core'
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { accessibilityProblems, CHROMIUM, launchBrowser, SIZES, VIEWER_DIST } from '../support/browser.js'

const SAMPLE = fileURLToPath(new URL('../../sample-logs/five-volt-short.log.gz', import.meta.url))
/** A second of an engine that stands: speed 0, oil pressure 0. */
const STANDING = Array.from({ length: 50 }, (_, n) => {
  const stamp = `(${(1_700_000_000 + n / 50).toFixed(6)}) can0`
  return `${stamp} 0CF00400#FFFFFF0000FFFFFF\n${stamp} 18FEEF00#FFFFFF00FFFFFFFF\n`
}).join('')

/** The same pages as another build makes them: every part has another name. */
function rebuilt(folder: string): string {
  const viewer = join(folder, 'viewer')
  cpSync(VIEWER_DIST, viewer, { recursive: true })
  const assets = join(viewer, 'assets')
  const names = readdirSync(assets)
  const renamed = (name: string): string => name.replace('.', '-again.')
  for (const name of names) renameSync(join(assets, name), join(assets, renamed(name)))
  for (const file of [join(viewer, 'index.html'), ...names.map((name) => join(assets, renamed(name)))]) {
    if (!/\.(js|css|html)$/.test(file)) continue
    const content = names.reduce((text, name) => text.replaceAll(name, renamed(name)), readFileSync(file, 'utf8'))
    writeFileSync(file, content)
  }
  return viewer
}

describe.runIf(CHROMIUM !== undefined)('a page that is older than its server', () => {
  let folder: string
  let server: RunningServer
  let browser: Browser
  let page: Page
  let stream: PassThrough
  /** The same for every server that is started in a test. */
  let port: number
  let errors: string[]

  beforeAll(async () => {
    browser = await launchBrowser()
    return () => browser.close()
  }, 60_000)

  const start = async (viewer = VIEWER_DIST): Promise<void> => {
    stream = new PassThrough()
    server = await startServer({
      library: join(folder, 'library'),
      outside: [join(folder, 'bends.log.gz')],
      live: [{ source: new StreamSource(stream, 'standard input'), record: false }],
      port,
      viewer,
    })
    port = Number(new URL(server.url).port)
  }
  const openRun = async (): Promise<void> => {
    await page.goto(`${server.url}/#/runs`)
    await page.locator('.run-table tbody tr', { hasText: 'bends' }).getByRole('link').click()
    await page.locator('#finding-1 h3').waitFor({ timeout: 15_000 })
  }
  const note = () => page.locator('.taken')

  beforeEach(async () => {
    folder = mkdtempSync(join(tmpdir(), 'firstcrank-restart-'))
    copyFileSync(SAMPLE, join(folder, 'bends.log.gz'))
    port = 0
    await start()
    await server.scan()
    page = await browser.newPage({ ...SIZES.laptop, serviceWorkers: 'block' })
    page.setDefaultTimeout(10_000)
    errors = []
    page.on('pageerror', (error) => errors.push(`${error}`))
  })

  afterEach(async () => {
    await page.close()
    await server.stop()
    rmSync(folder, { recursive: true, force: true })
  })

  it('shows what was asked while there was none, and all that is asked afterwards', async () => {
    await openRun()
    await server.stop()
    await page.getByRole('link', { name: 'Bus', exact: true }).click()
    await expect
      .poll(() => note().textContent(), { timeout: 5_000 })
      .toMatch(/^The server does not answer; trying again/)
    expect(await accessibilityProblems(page)).toEqual([])
    await start()
    // A part of the pages that had not been loaded yet.
    await page.getByRole('tab', { name: 'Messages' }).click()
    await expect.poll(() => note().count(), { timeout: 5_000 }).toBe(0)
    await page.getByRole('tabpanel').getByText('0:00.0404').click()
    await page.locator('.signals-table').first().waitFor()
    await page.getByRole('link', { name: 'Report', exact: true }).click()
    await page.getByText('First-start test sheet').first().waitFor()
    await page.getByRole('link', { name: 'Notes', exact: true }).click()
    await page.getByRole('textbox', { name: 'Vehicle' }).fill('Rescue 7')
    await expect.poll(() => page.locator('.keeping').textContent()).toBe('Saved.')
    await page.getByRole('link', { name: 'Test sheet' }).click()
    await page.getByRole('button', { name: 'Fuel path' }).click()
    await page.getByRole('region', { name: /rail/i }).first().waitFor()
    await page.getByRole('button', { name: /^This fault/ }).click()
    const supply = page.getByRole('region', { name: /^Sensor supply voltage 1/ })
    await expect.poll(() => supply.locator('.legend-value').first().textContent(), { timeout: 5_000 }).toBe('0.50')
    expect(errors).toEqual([])
  })

  it('has the notes and the list of runs that were asked for while there was none', async () => {
    await openRun()
    // So that the part of the pages is there, and only what it shows is not.
    await page.getByRole('link', { name: 'Notes', exact: true }).click()
    await page.getByRole('textbox', { name: 'Vehicle' }).waitFor()
    await page.getByRole('link', { name: 'Test sheet' }).click()
    await server.stop()
    await page.getByRole('link', { name: 'Notes', exact: true }).click()
    await note().waitFor()
    await start()
    await page.getByRole('textbox', { name: 'Vehicle' }).waitFor()
    await server.stop()
    await page.getByRole('link', { name: 'Runs', exact: true }).click()
    await note().waitFor()
    await start()
    await page.locator('.run-table tbody tr', { hasText: 'bends' }).waitFor()
    await expect.poll(() => note().count(), { timeout: 5_000 }).toBe(0)
    expect(errors).toEqual([])
  })

  it('says so where the server has other pages, and loads them', async () => {
    await openRun()
    await server.stop()
    await start(rebuilt(folder))
    await page.getByRole('link', { name: 'Bus', exact: true }).click()
    await expect
      .poll(() => note().textContent(), { timeout: 10_000 })
      .toContain('This page is older than its server: load it again.')
    expect(await accessibilityProblems(page)).toEqual([])
    const address = page.url()
    await page.getByRole('button', { name: 'Load it again' }).click()
    await page.getByRole('tab', { name: 'Nodes' }).waitFor()
    expect(page.url()).toBe(address)
    expect(await note().count()).toBe(0)
  })

  it('opens a recording whose worker could not be had at first, and says nothing of older pages', async () => {
    let asked = 0
    await page.route(/assets\/worker-/, async (route) => {
      asked++
      if (asked > 1) return route.continue()
      await server.stop()
      await route.abort()
      setTimeout(() => start().catch(console.error), 500)
    })
    await page.goto(`${server.url}/#/run/sample:five-volt-short.log.gz/sheet`)
    await page.locator('#finding-1 h3').waitFor({ timeout: 15_000 })
    expect(asked).toBe(2)
    await expect.poll(() => note().count(), { timeout: 5_000 }).toBe(0)
    expect(errors).toEqual([])
  })

  it('goes on watching the source of the same name, with the alarm sound as it was', async () => {
    await page.goto(`${server.url}/#/live`)
    await page.locator('a.sample', { hasText: 'standard input' }).click()
    stream.write(STANDING)
    const stage = () => page.locator('.stage').textContent()
    await page.locator('.vital-value', { hasText: '0' }).first().waitFor()
    await page.getByRole('button', { name: 'Alarm sound: off' }).click()
    const before = page.url()
    await server.stop()
    await expect
      .poll(() => page.locator('.fresh').textContent(), { timeout: 5_000 })
      .toBe('Connection lost; trying again.')
    await start()
    await expect.poll(() => page.url(), { timeout: 10_000 }).not.toBe(before)
    await expect.poll(() => page.locator('.fresh').textContent()).toBe('Waiting for the first message')
    stream.write(STANDING)
    await expect.poll(stage, { timeout: 5_000 }).toMatch(/^The engine does not turn/)
    expect(await page.getByRole('button', { name: 'Alarm sound: on' }).count()).toBe(1)
    await page.goto(before)
    await expect
      .poll(() => page.locator('.fresh').textContent())
      .toBe('This source is no longer there. Choose one above.')
    expect(errors).toEqual([])
  })
})
