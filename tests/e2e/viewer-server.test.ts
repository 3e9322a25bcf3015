/** The viewer as the server shows it: a run of the library, a log that is added, and a first start live. */
import { copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type RunningServer, startServer } from '@firstcrank/server'
import { simulateSample } from '@firstcrank/simulator'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { accessibilityProblems, CHROMIUM, launchBrowser, VIEWER_DIST } from '../support/browser.js'

const SAMPLE = fileURLToPath(new URL('../../sample-logs/five-volt-short.log.gz', import.meta.url))

describe.runIf(CHROMIUM !== undefined)('the viewer, from the server', () => {
  let folder: string
  let server: RunningServer
  let browser: Browser
  let page: Page
  const complaints: string[] = []

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'firstcrank-viewer-'))
    copyFileSync(SAMPLE, join(folder, 'bends.log.gz'))
    server = await startServer({
      library: join(folder, 'library'),
      outside: [join(folder, 'bends.log.gz')],
      port: 0,
      viewer: VIEWER_DIST,
    })
    await server.scan()
    browser = await launchBrowser()
    page = await browser.newPage({ viewport: { width: 1280, height: 800 } })
    page.setDefaultTimeout(8_000)
    page.on('pageerror', (error) => complaints.push(`${error}`))
    page.on('console', (message) => {
      if (message.type() === 'error') complaints.push(message.text())
    })
  }, 60_000)

  afterAll(async () => {
    await browser?.close()
    await server?.stop()
    rmSync(folder, { recursive: true, force: true })
    expect(complaints).toEqual([])
  })

  it('lists the library and opens a run of it as the same sheet', async () => {
    await page.goto(`${server.url}/#/runs`)
    const row = page.locator('.run-table tbody tr', { hasText: 'bends' })
    await expect
      .poll(() => row.textContent(), { timeout: 15_000 })
      .toContain('a 5 V sensor supply is shorted to ground')
    expect(await accessibilityProblems(page)).toEqual([])
    await row.getByRole('link').click()
    await page
      .locator('#finding-1 h3', { hasText: 'A 5 V sensor supply is shorted to ground' })
      .waitFor({ timeout: 15_000 })
    await expect.poll(() => page.locator('.plot canvas').count()).toBeGreaterThanOrEqual(4)
    await page
      .locator('#finding-1')
      .getByRole('button', { name: /^See it 0:41: Sensor supply 1 reads/ })
      .click()
    const plot = page.getByRole('region', { name: /^Sensor supply voltage 1/ })
    await expect.poll(() => plot.locator('.legend-value').textContent()).toBe('0.50')
  })

  it('says so of a file that the library does not take', async () => {
    await page.goto(`${server.url}/#/runs`)
    const buffer = Buffer.from('Dear reader,\nthis is no recording.\n')
    await page.setInputFiles('input[type=file]', { name: 'letter.txt', mimeType: 'text/plain', buffer })
    await expect
      .poll(() => page.locator('.refused').textContent())
      .toContain('letter.txt: No line of this file can be read as a CAN frame')
    expect(await accessibilityProblems(page)).toEqual([])
    await page.getByRole('button', { name: 'Close' }).click()
    expect(page.url()).toMatch(/#\/runs$/)
    // The server's refusal is in the browser's own log.
    expect(complaints.splice(0)).toEqual([expect.stringContaining('422')])
  })

  it('keeps notes in the library, and replays a run as it is told', async () => {
    await page.goto(`${server.url}/#/runs`)
    await page.locator('.run-table tbody tr', { hasText: 'bends' }).getByRole('link').click()
    await page.getByRole('link', { name: 'Notes', exact: true }).click()
    await page.getByRole('textbox', { name: 'Vehicle' }).fill('Rescue 7')
    await page.getByRole('checkbox', { name: /^Oil filled/ }).check()
    await expect.poll(() => page.locator('.keeping').textContent()).toBe('Saved.')
    await page.reload()
    await expect.poll(() => page.getByRole('textbox', { name: 'Vehicle' }).inputValue()).toBe('Rescue 7')
    expect(await page.getByRole('checkbox', { name: /^Oil filled/ }).isChecked()).toBe(true)
    await page.getByRole('button', { name: 'Replay as live' }).click()
    const replay = page.getByRole('region', { name: 'Replay' })
    await replay.getByRole('button', { name: 'Pause the replay' }).click()
    await replay.getByRole('button', { name: 'Play', exact: true }).waitFor()
    const place = replay.getByRole('slider', { name: 'Place in the recording' })
    await place.fill('60')
    await expect.poll(() => replay.locator('.replay-at').textContent()).toMatch(/^1:00 of 5:18$/)
    await replay.getByRole('combobox', { name: 'Speed' }).selectOption('100')
    await replay.getByRole('button', { name: 'Play', exact: true }).click()
    await replay.getByRole('button', { name: 'Play again' }).waitFor()
    expect(await accessibilityProblems(page)).toEqual([])

    // Beside another one, a replay that has come to its end is folded away, and can be had back.
    const first = page.url()
    await replay.getByRole('link', { name: 'Test sheet of this run' }).click()
    await page.getByRole('button', { name: 'Replay as live' }).click()
    const folded = page.getByText('1 paused or ended', { exact: true })
    await folded.click()
    expect(page.url()).not.toBe(first)
    await page.locator('.over a.sample').click()
    await expect.poll(() => page.url()).toBe(first)
    await folded.waitFor({ state: 'detached' })

    await replay.getByRole('button', { name: 'End the replay' }).click()
    await expect.poll(() => page.url()).toMatch(/#\/live$/)
  })

  it('takes a log into the library, plays it live, and says stop without oil pressure', async () => {
    await page.goto(`${server.url}/#/runs`)
    const buffer = Buffer.from([...simulateSample('blocked-oil-hose.log').chunks].join(''))
    await page.setInputFiles('input[type=file]', { name: 'first-start.log', mimeType: 'text/plain', buffer })
    await page.locator('.verdict-words', { hasText: 'Do not run the engine' }).waitFor({ timeout: 15_000 })
    const run = decodeURIComponent(page.url()).match(/run:([0-9a-f]{32})/)?.[1]
    const source = await page.evaluate(async (id) => {
      const body = JSON.stringify({ run: id, speed: 2 })
      const response = await fetch('/api/sources', {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body,
      })
      return (await response.json()) as { id: string }
    }, run)
    await page.goto(`${server.url}/#/live/${source.id}`)
    await page.locator('.stage').waitFor()
    // What is said for less than a second at this speed is noted in the page itself.
    await page.evaluate(() => {
      const said = new Set<string>()
      Object.assign(globalThis, { said })
      new MutationObserver(() => {
        for (const element of document.querySelectorAll('.stage, .alarm')) said.add(element.textContent ?? '')
      }).observe(document.body, { subtree: true, childList: true, characterData: true })
    })
    const said = () => page.evaluate(() => [...(globalThis as unknown as { said: Set<string> }).said].join('\n'))
    await expect.poll(said, { timeout: 20_000 }).toContain('No oil pressure: stop the engine')
    expect(await said()).toMatch(
      /^Cranking: 30 s at most.*\d+ s left\n[\s\S]*^It fired\. Oil pressure has to be there[\s\S]*^Running without oil pressure.*10 s/m,
    )
    await expect.poll(() => page.locator('.fresh').textContent(), { timeout: 15_000 }).toMatch(/^Stale: nothing for/)
    expect(await page.locator('.vital.old').count()).toBe(4)
    expect(await page.locator('.stage-slot [role=alert]').textContent()).toBe('')
    expect(await accessibilityProblems(page)).toEqual([])
  })
})
