/** The live page while a bus comes in through a pipe: what it says, how it looks, and what it does without data. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { PassThrough } from 'node:stream'
import { type RunningServer, StreamSource, startServer } from '@firstcrank/server'
import type { Browser, Page } from 'playwright-core'
import { afterEach, beforeAll, describe, expect, it } from 'vitest'
import { accessibilityProblems, CHROMIUM, launchBrowser, VIEWER_DIST } from '../support/browser.js'

const SIZES = {
  laptop: { width: 1366, height: 768 },
  tablet: { width: 820, height: 1180 },
  phone: { width: 390, height: 844 },
}
/** Bus time passes so many times as fast as time does here. */
const SPEED = 10
const START = 1_700_000_000

/** What the engine says: rpm; kPa and °C, null where the message holds no value. */
interface Engine {
  readonly speed: number
  readonly oil: number | null
  readonly coolant: number | null
}

const byteHex = (value: number): string => value.toString(16).toUpperCase().padStart(2, '0')
/** Speed in eighths of a revolution in bytes 4 and 5; pressure in 4 kPa in byte 4; °C above −40 in byte 1: SAE J1939-71. */
function framesOf({ speed, oil, coolant }: Engine, seconds: number, tick: number): string {
  const stamp = `(${(START + seconds).toFixed(6)}) can0`
  const raw = speed * 8
  const lines = [`${stamp} 0CF00400#FFFFFF${byteHex(raw & 0xff)}${byteHex(raw >> 8)}FFFFFF`]
  if (tick % 5 === 0) {
    lines.push(`${stamp} 18FEEF00#FFFFFF${oil === null ? 'FF' : byteHex(oil / 4)}FFFFFFFF`)
    lines.push(`${stamp} 18FEEE00#${coolant === null ? 'FF' : byteHex(coolant + 40)}FFFFFFFFFFFFFF`)
    lines.push(`${stamp} 18FEF700#FFFFFFFFFFFF1C01`)
  }
  return `${lines.join('\n')}\n`
}

describe.runIf(CHROMIUM !== undefined)('the live page', () => {
  let folder: string
  let server: RunningServer
  let browser: Browser
  let page: Page
  let stream: PassThrough
  let complaints: string[]
  /** Seconds of the bus so far. */
  let time: number

  beforeAll(async () => {
    browser = await launchBrowser()
    return () => browser.close()
  }, 60_000)

  afterEach(async () => {
    await page.close()
    await server.stop()
    rmSync(folder, { recursive: true, force: true })
    expect(complaints).toEqual([])
  })

  const open = async (size: keyof typeof SIZES): Promise<void> => {
    folder = mkdtempSync(join(tmpdir(), 'firstcrank-live-'))
    stream = new PassThrough({ highWaterMark: 1 << 22 })
    time = 0
    complaints = []
    server = await startServer({
      library: join(folder, 'library'),
      live: [{ source: new StreamSource(stream, 'standard input'), record: false }],
      port: 0,
      viewer: VIEWER_DIST,
    })
    page = await browser.newPage({ viewport: SIZES[size], serviceWorkers: 'block' })
    page.setDefaultTimeout(10_000)
    page.on('pageerror', (error) => complaints.push(`${error}`))
    await page.goto(`${server.url}/#/live`)
    await page.locator('a.sample', { hasText: 'standard input' }).click()
    await page.locator('.stage').waitFor()
  }

  /** The engine does this for so many seconds of the bus, or until something is seen. */
  const run = async (engine: Engine, seconds: number, until?: () => Promise<boolean>): Promise<void> => {
    const end = time + seconds
    for (let tick = 0; time < end; tick++) {
      if (tick % 20 === 0 && (await until?.())) return
      stream.write(framesOf(engine, time, tick))
      time += 0.2
      await new Promise((resolve) => setTimeout(resolve, 200 / SPEED))
    }
  }
  const stage = async () => (await page.locator('.stage').textContent()) ?? ''
  const says = (words: RegExp) => async () => words.test(await stage())
  const overflowing = () =>
    page.evaluate(() =>
      [...document.querySelectorAll<HTMLElement>('.vital, .vital-value, .vital-name')]
        .filter((tile) => tile.scrollWidth > tile.clientWidth)
        .map((tile) => tile.textContent),
    )

  const STANDING: Engine = { speed: 0, oil: 0, coolant: 20 }
  const CRANKING: Engine = { speed: 200, oil: 0, coolant: 20 }
  const DRY: Engine = { speed: 780, oil: 0, coolant: 20 }
  const DRIVEN: Engine = { speed: 2_876, oil: 1_000, coolant: -38 }
  const MUTE: Engine = { speed: 2_876, oil: null, coolant: null }

  describe.each(Object.keys(SIZES) as (keyof typeof SIZES)[])('on a %s', (size) => {
    it('leads through a start and raises the alarm, without anything moving about', async () => {
      await open(size)
      await page.evaluate(() => {
        const shifts: { value: number; of: string }[] = []
        Object.assign(globalThis, { shifts })
        interface Shift {
          readonly value: number
          readonly sources: readonly { readonly node: Node | null }[]
        }
        new PerformanceObserver((list) => {
          for (const { value, sources } of list.getEntries() as unknown as Shift[])
            shifts.push({ value, of: sources.map(({ node }) => `${node?.textContent}`).join(' | ') })
        }).observe({ type: 'layout-shift' })
      })
      await run(STANDING, 60, says(/^The engine does not turn. Next: the checks by hand/))
      await run(CRANKING, 60, says(/^Cranking: 30 s at most, then rest the starter.*\d+ s left$/))
      await run(DRY, 60, says(/^It fired. Oil pressure has to be there within 10 s\.\d+ s left$/))
      await run(DRY, 60, says(/^Running without oil pressure\. Stop the engine\.\d+ s$/))
      expect(await page.locator('.stage-slot [role=alert]').textContent()).toBe('No oil pressure: stop the engine')
      expect(await page.locator('.stage-slot [role=alert]').locator('svg').count()).toBe(2)
      expect(await page.locator('.vital.missing').textContent()).toMatch(/Oil pressure kPa\s*missing\s*0/)
      expect(await page.title()).toContain('No oil pressure')
      await run(DRY, 4)
      expect(await overflowing()).toEqual([])
      const shifts = await page.evaluate(
        () => (globalThis as unknown as { shifts: { value: number; of: string }[] }).shifts,
      )
      // Up to 0.1 is good: published limit of cumulative layout shift.
      expect(shifts.filter(({ value }) => value > 0.01)).toEqual([])
      for (const theme of ['Night', 'Sun', 'Day']) {
        await page.getByRole('button', { name: theme, exact: true }).click()
        const [problems] = await Promise.all([accessibilityProblems(page), run(DRY, 10)])
        expect(problems, theme).toEqual([])
      }
    })

    it('has room for every value, and for none', async () => {
      await open(size)
      // The theme with the largest letters.
      await page.getByRole('button', { name: 'Sun', exact: true }).click()
      await run(DRIVEN, 60, async () => (await page.locator('.vital-value', { hasText: '2876' }).count()) === 1)
      expect(await overflowing()).toEqual([])
      await run(MUTE, 60, async () => (await page.getByText('sent without a value').count()) === 2)
      expect(await overflowing()).toEqual([])
      expect(await stage()).toBe('Running, but no oil pressure reading comes: watch a gauge.')
      await page.getByRole('button', { name: 'US', exact: true }).click()
      await run(DRIVEN, 60, async () => (await page.locator('.vital-value', { hasText: '145' }).count()) === 1)
      expect(await page.locator('.vitals').textContent()).toMatch(
        /Oil pressure psi\s*145\s*Coolant °F\s*−36\s*Supply V\s*14.2/,
      )
      expect(await overflowing()).toEqual([])
    })
  })

  it('shows within a second that data have stopped, and gives every plot as a table', async () => {
    await open('laptop')
    await run(DRIVEN, 60, says(/^Running, with oil pressure/))
    await run(DRIVEN, 40)
    await page.evaluate(() => {
      const told: string[] = []
      Object.assign(globalThis, { told })
      new MutationObserver(() => {
        const words = document.querySelector('.fresh.stale')?.textContent
        if (words && document.querySelectorAll('.vital.old').length === 4) told.push(words)
      }).observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true })
    })
    const first = () => page.evaluate(() => (globalThis as unknown as { told: string[] }).told[0] ?? '')
    await expect.poll(first).toMatch(/^Stale: nothing for (0\.\d|1\.0) s$/)
    expect(await stage()).toBe('What the engine does now is not known: the data are old. Watch the engine.')
    const trend = page.getByRole('figure').filter({ hasText: 'Oil pressure' })
    await trend.getByText('As a table').click()
    await expect.poll(() => trend.locator('tbody tr').count()).toBe(13)
    expect(await trend.locator('tbody tr').first().textContent()).toMatch(/^0\s*1,000$/)
    expect(await accessibilityProblems(page)).toEqual([])
  })

  it('watches while its figures are paused, and where nobody looks at it', async () => {
    await open('laptop')
    await run(DRY, 60, says(/It fired/))
    await page.getByRole('button', { name: 'Pause', exact: true }).click()
    // A page that is hidden gets no pictures from the browser.
    await page.evaluate(() => {
      globalThis.requestAnimationFrame = () => 0
    })
    await run(DRY, 150, says(/Running without oil pressure/))
    expect(await page.locator('.stage-slot [role=alert]').textContent()).toBe('No oil pressure: stop the engine')
    expect(await page.locator('.fresh').textContent()).toBe(
      'Paused: the figures are no longer now. The alarm still watches.',
    )
    // The alarm may come before the figures that stand still are a second old.
    await expect.poll(() => page.locator('.vital.old').count(), { timeout: 2_000 }).toBe(4)
  })

  it('keeps the ticks of the checks by hand over a reload, until they are cleared or another day', async () => {
    await open('phone')
    const summary = page.locator('summary', { hasText: 'Before the first crank' })
    const unfold = () => summary.locator('h2').click()
    await unfold()
    const boxes = page.locator('.before input[type=checkbox]')
    const count = await boxes.count()
    const clear = page.getByRole('button', { name: 'Clear the ticks' })
    expect(await clear.isDisabled()).toBe(true)
    await boxes.nth(0).check()
    await boxes.nth(2).check()
    await boxes.nth(2).uncheck()
    await boxes.nth(1).check()
    const ticked = new RegExp(`2 of ${count} ticked, last at \\d\\d:\\d\\d$`)
    expect(await summary.textContent()).toMatch(ticked)
    await page.reload()
    await expect.poll(() => summary.textContent()).toMatch(ticked)
    await unfold()
    expect(await boxes.nth(1).isChecked()).toBe(true)
    expect(await boxes.nth(2).isChecked()).toBe(false)
    expect(await accessibilityProblems(page)).toEqual([])
    await clear.click()
    expect(await summary.textContent()).toMatch(new RegExp(`0 of ${count} ticked$`))
    await page.reload()
    await expect.poll(() => summary.textContent()).toMatch(new RegExp(`0 of ${count} ticked$`))
    await unfold()
    await boxes.nth(0).check()
    await page.clock.setFixedTime(Date.now() + 31 * 60_000)
    await page.reload()
    const earlier = /ticked\. Ticked earlier, at \d\d:\d\d: for another start, clear the ticks\.$/
    await expect.poll(() => summary.textContent()).toMatch(earlier)
    expect(await accessibilityProblems(page)).toEqual([])
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0)
    await page.clock.setFixedTime(Date.now() + 13 * 3_600_000)
    await page.reload()
    await expect.poll(() => summary.textContent()).toMatch(new RegExp(`0 of ${count} ticked$`))
  })

  it('says what comes where it is no frame, or nothing of an engine', async () => {
    await open('phone')
    expect(await stage()).toBe('Nothing has come yet.')
    expect(await accessibilityProblems(page)).toEqual([])
    stream.write('this is no frame\n'.repeat(20))
    await expect.poll(stage, { timeout: 5_000 }).toMatch(/^20 lines have come, but none was read as a CAN frame so far/)
    for (let n = 0; n < 300; n++) stream.write(`(${START + n}.000000) can0 18F00503#FFFFFF7DFFFFFFFF\n`)
    await expect
      .poll(stage, { timeout: 5_000 })
      .toMatch(/^The bus speaks, 300 frames so far, but none has engine speed, oil pressure/)
    stream.end()
    await expect.poll(() => page.locator('.fresh').textContent(), { timeout: 5_000 }).toMatch(/^The source has ended/)
  })
})
