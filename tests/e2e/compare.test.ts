/** Two runs compared in a real browser: from files at the size of a laptop and of a phone, and from the server. */
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { type RunningServer, startServer } from '@firstcrank/server'
import { writeLog } from '@firstcrank/simulator'
import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import {
  accessibilityProblems,
  CHROMIUM,
  launchBrowser,
  SIZES,
  type StaticSite,
  serveFolder,
  VIEWER_DIST,
} from '../support/browser.js'

interface Upload {
  readonly name: string
  readonly mimeType: string
  readonly buffer: Buffer
}

const uploadOf = (name: string, buffer: Buffer): Upload => ({ name, mimeType: 'application/octet-stream', buffer })
const made = (scenario: string, seed: number): Buffer => Buffer.from(writeLog(scenario, { seed }).text)
/** The same log, recorded so many seconds later. */
const later = (log: Buffer, seconds: number): Buffer =>
  Buffer.from(log.toString().replaceAll(/^\((\d+)/gm, (_, time) => `(${Number(time) + seconds}`))
/** The same log of another truck: its identification comes in frames of seven letters, this is the first. */
const ofOtherTruck = (log: Buffer): Buffer => Buffer.from(log.toString().replaceAll(hexOf('00RESCU'), hexOf('00TIPPE')))
const hexOf = (letters: string): string => Buffer.from(letters).toString('hex').toUpperCase()

let browser: Browser
/** The air-mass meter unplugged; mended; and another truck. */
let logs: Record<'before' | 'after' | 'other' | 'text', Upload>

if (CHROMIUM === undefined) console.warn('Tests in the browser do not run: no Chromium was found on this system.')

describe.runIf(CHROMIUM !== undefined)('two runs compared', () => {
  beforeAll(async () => {
    expect(existsSync(`${VIEWER_DIST}/index.html`), 'the viewer has been built (npm run build)').toBe(true)
    const after = later(made('clean-first-start', 21), 10 * 86_400)
    logs = {
      before: uploadOf('unplugged.log.gz', gzipSync(made('missing-air-mass-signal', 1))),
      after: uploadOf('mended.log', after),
      other: uploadOf('other-truck.log', ofOtherTruck(after)),
      text: uploadOf('letter.txt', Buffer.from('Dear reader,\nthis is no recording.\n')),
    }
    browser = await launchBrowser()
  }, 60_000)

  afterAll(async () => {
    await browser?.close()
  })

  describe('as files', () => {
    let site: StaticSite
    let context: BrowserContext
    let page: Page
    let complaints: string[]

    beforeAll(async () => {
      site = await serveFolder(VIEWER_DIST)
    })

    afterAll(() => {
      site?.server.close()
    })

    const side = (name: 'before' | 'after') => page.locator(`.side-${name}`)
    const chosen = (name: 'before' | 'after') =>
      page.getByRole('combobox', { name: name === 'before' ? 'Run before the repair' : 'Run after the repair' })
    const give = (name: 'before' | 'after', log: keyof typeof logs): Promise<void> =>
      page.setInputFiles(`.side-${name} input[type=file]`, logs[log])
    const compared = () => page.getByRole('heading', { name: 'What else changed' }).waitFor({ timeout: 20_000 })
    const accessible = async (): Promise<void> => expect(await accessibilityProblems(page)).toEqual([])
    const address = (): URLSearchParams => new URLSearchParams(page.url().split('?')[1])

    describe.each(Object.entries(SIZES))('on a %s', (_, options) => {
      beforeEach(async () => {
        context = await browser.newContext({ ...options, acceptDownloads: true, serviceWorkers: 'block' })
        context.setDefaultTimeout(8_000)
        page = await context.newPage()
        complaints = []
        page.on('pageerror', (error) => complaints.push(`${error}`))
        page.on('console', (message) => {
          // Whether there is a server is asked for, and here there is none.
          if (message.type() === 'error' && !message.location().url.endsWith('/api/server'))
            complaints.push(message.text())
        })
        await page.goto(`${site.address}#/compare`)
        await side('before').waitFor()
      })

      afterEach(async () => {
        expect(complaints).toEqual([])
        await context.close()
      })

      it('says first how far the repair is proved, and each number opens its place in its run', async () => {
        await page.getByText('Choose two runs').waitFor()
        await accessible()
        await give('before', 'before')
        await page.getByText('Choose the other run.').waitFor()
        await give('after', 'after')
        await compared()
        const answer = page.getByRole('region', { name: 'Did the fix work?' })
        expect(await answer.locator('.stamp.big').textContent()).toBe('Proved by direct evidence')
        expect(await answer.locator('.verdict-words').textContent()).toMatch(
          /^Proved by direct evidence: SPN 132 FMI 4, /,
        )
        expect(await answer.locator('.statement').textContent()).toMatch(/^Proved by direct evidence\. /)
        const row = page.locator('.fault-table tbody tr').first()
        expect(await row.locator('.fault-grade').textContent()).toBe('Proved by direct evidencegone')
        expect(await row.locator('.side-cell').last().textContent()).toBe('not active')
        expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true)
        await page.getByText('Why, and in numbers').click()
        await page.getByRole('heading', { name: 'Where it can be seen' }).waitFor()
        await expect.poll(() => address().get('open')).toBe('fault:0.132.4')
        await accessible()

        const seen = page.locator('.grounds-fold .see-link').first()
        const time = (await seen.textContent())?.match(/^Before (\d+:\d\d)$/)?.[1]
        await seen.click()
        await page.locator('.form-block').waitFor({ timeout: 15_000 })
        expect(await page.locator('.form-block').textContent()).toContain('unplugged.log.gz')
        expect(page.url()).toMatch(/\/run\/file:[^?]+\/sheet\?t=.*&at=/)
        const [minutes = 0, seconds = 0] = (time ?? '').split(':').map(Number)
        await expect.poll(() => Math.floor(Number(address().get('at')))).toBe(minutes * 60 + seconds)
        await page.goBack()
        await compared()
        expect(await page.locator('.grounds-fold').count()).toBe(1)
      })

      it('lays both runs on an event, with one cursor, and a link opens the same view', async () => {
        await give('before', 'before')
        await give('after', 'after')
        await compared()
        const overlay = page.getByRole('region', { name: 'Laid over one another' })
        await overlay.getByRole('button', { name: 'First crank' }).click()
        await overlay.getByRole('button', { name: 'First start' }).click()
        expect(await overlay.getByRole('button', { name: 'First crank' }).getAttribute('aria-pressed')).toBe('true')
        await expect.poll(() => overlay.locator('.plot canvas').count()).toBeGreaterThanOrEqual(4)
        const cursor = overlay.getByRole('slider', { name: 'Time cursor' })
        await cursor.focus()
        for (const key of ['+', 'ArrowRight', 'Shift+ArrowRight', 'ArrowLeft']) await page.keyboard.press(key)
        // Both runs crank at the event they are laid on; long after it both run.
        await expect
          .poll(() => cursor.getAttribute('aria-valuetext'))
          .toMatch(/^−?0:\d\d\.?\d*; Engine speed rpm before [\d,.]+, after [\d,.]+; /)
        const speed = overlay.getByRole('region', { name: 'Engine speed', exact: true })
        await expect.poll(() => speed.locator('.legend-value').count()).toBe(2)
        expect(await speed.locator('.legend-change').textContent()).toMatch(/^Difference [+−]?[\d,.]+ rpm$/)
        await speed.getByText('As a table').click()
        await expect.poll(() => speed.locator('tbody tr').count()).toBe(12)
        expect(await speed.locator('thead').textContent()).toContain('Engine speed, before')
        await accessible()

        const link = page.url()
        await expect.poll(() => address().get('at')).not.toBeNull()
        const words = await overlay.locator('.window-words').textContent()
        const values = await speed.locator('.legend').textContent()
        await page.reload()
        await compared()
        expect(page.url()).toBe(link)
        expect(await overlay.locator('.window-words').textContent()).toBe(words)
        await expect.poll(() => speed.locator('.legend').textContent()).toBe(values)

        await overlay.getByRole('combobox', { name: 'Add a signal' }).fill('110')
        await page.locator('.search-list [data-highlighted]', { hasText: 'Engine coolant temperature' }).waitFor()
        await page.keyboard.press('Enter')
        await overlay.getByRole('region', { name: 'Engine coolant temperature', exact: true }).waitFor()
        await expect.poll(() => address().get('plots')?.split(',').at(-1)).toBe('0.65262.110')
      })

      it('shows what the vitals did and how the engine was used, as numbers, in both units', async () => {
        await give('before', 'before')
        await give('after', 'after')
        await compared()
        const vitals = page.getByRole('region', { name: 'What the vitals did' })
        await vitals.getByRole('button', { name: /^All/ }).click()
        await expect.poll(() => address().get('all')).toBe('1')
        const rows = vitals.locator('.vital-table > tbody > tr')
        const count = await rows.count()
        expect(count).toBeGreaterThan(5)
        const oil = rows.filter({ hasText: 'Oil pressure' }).first()
        expect(await oil.textContent()).toMatch(/kPa.*[+−]?[\d,]+.*to.*counts from 30 kPa on \(common practice\)/)
        await oil.getByRole('button', { name: /cells?:/ }).click()
        await vitals.locator('.cells-row table').waitFor()
        expect(await vitals.locator('.cells-row tbody tr').first().getByRole('link').count()).toBe(2)

        const use = page.getByRole('region', { name: 'How the engine was used' })
        const [before, after] = [use.locator('.map-table').first(), use.locator('.map-table').last()]
        const total = async (map: typeof before): Promise<number> =>
          (await map.locator('td').allTextContents()).reduce((sum, text) => sum + Number(text.replace(',', '') || 0), 0)
        const usage = await use.locator('.use-tables table').first().locator('tr', { hasText: 'Running' }).textContent()
        expect(usage).toMatch(/^Running.*\d.*\d/)
        // Cells are shown rounded: the sum is the time running to within the rounding of its cells.
        for (const [map, side] of [
          [before, 0],
          [after, 1],
        ] as const) {
          const said =
            usage
              ?.slice('Running'.length)
              .match(/(?:\d+ min)?(?: ?[\d.]+ s)?/g)
              ?.filter(Boolean)[side] ?? ''
          const minutes = Number(said.match(/(\d+) min/)?.[1] ?? 0)
          const seconds = Number(said.match(/([\d.]+) s/)?.[1] ?? 0)
          expect(Math.abs((await total(map)) - minutes * 60 - seconds)).toBeLessThan(12)
        }
        await page.getByRole('button', { name: 'US', exact: true }).click()
        await expect.poll(() => oil.textContent()).toContain('psi')
        expect(await use.locator('.coolant-table caption').textContent()).toContain('°F')
        await accessible()
        const [download] = await Promise.all([
          page.waitForEvent('download'),
          page.getByRole('button', { name: 'Save as HTML' }).click(),
        ])
        expect(readFileSync(await download.path(), 'utf8')).toMatch(/^<!doctype html>[\s\S]*Proved by direct evidence/i)
      })

      it('opens the place in its run from every cell, and goes through a map by arrow keys', async () => {
        await give('before', 'before')
        await give('after', 'after')
        await compared()
        const use = page.getByRole('region', { name: 'How the engine was used' })
        const map = use.locator('.map-table').last()
        // One stop of the Tab key for each map: its longest cell.
        const entry = map.locator('a[tabindex="0"]')
        expect(await entry.count()).toBe(1)
        await entry.focus()
        const label = () => page.evaluate(() => document.activeElement?.getAttribute('aria-label') ?? '')
        const first = await label()
        expect(first).toMatch(/^After \d+:\d\d: .+ from [\d,]+ rpm and \d+ % load on$/)
        // An engine that warms up at idle has few cells: some arrow leads to another, and its opposite back.
        const ways = ['ArrowUp ArrowDown', 'ArrowDown ArrowUp', 'ArrowLeft ArrowRight', 'ArrowRight ArrowLeft']
        const been: string[] = []
        for (const [there = '', back = ''] of ways.map((keys) => keys.split(' '))) {
          await page.keyboard.press(there)
          const other = await label()
          if (other === first) continue
          been.push(other)
          await page.keyboard.press(back)
          expect(await label()).toBe(first)
        }
        expect(been).toEqual(expect.arrayContaining([expect.stringMatching(/^After /)]))
        await use.getByText(/^Where starts and running are/).click()
        await expect.poll(() => use.locator('.use-places .see-link').count()).toBeGreaterThanOrEqual(4)
        const cranking = use.getByRole('link', { name: /^After: Cranking, / })
        await cranking.click()
        await page.locator('.phase-cranking').waitFor({ timeout: 15_000 })
        await expect.poll(() => page.locator('.window-words').textContent()).toMatch(/, [\d.]+ s$/)
        await page.goBack()
        await compared()
        // The cell of the map opens a stretch of that run, with speed, load and coolant.
        const at = first.match(/^After (\d+):(\d\d)/)
        await entry.click()
        await page.locator('.form-block').waitFor({ timeout: 15_000 })
        expect(await page.locator('.form-block').textContent()).toContain('mended.log')
        await expect.poll(() => Math.floor(Number(address().get('at')))).toBe(Number(at?.[1]) * 60 + Number(at?.[2]))
        expect(address().get('t')).not.toBeNull()
        expect(address().get('plots')?.split(',').length).toBe(3)
      })

      it('says so where two runs cannot be compared, or prove nothing', async () => {
        await give('before', 'after')
        await expect.poll(() => chosen('before').inputValue()).toBe('mended.log')
        // As fast as hands can: no letter is lost.
        await chosen('after').pressSequentially('mended')
        await expect.poll(() => page.getByRole('option').allTextContents()).toEqual(['mended.log'])
        await page.keyboard.press('Enter')
        await expect.poll(() => address().get('after')).toBe(address().get('before'))
        await page.getByText('This is the same run twice').waitFor()
        await accessible()
        await give('before', 'text')
        await page.getByRole('heading', { name: 'The run before cannot be read' }).waitFor()
        expect(await page.getByRole('alert').textContent()).toContain('letter.txt: No line of this file can be read')
        await accessible()
        await give('before', 'after')
        await give('after', 'before')
        // The later run stands before the earlier one: nothing is said of a repair until that is wanted.
        const anyway = page.getByRole('button', { name: 'The dates are wrong: compare in this order' })
        await anyway.waitFor({ timeout: 20_000 })
        const answer = page.getByRole('region', { name: 'Did the fix work?' })
        expect(await answer.count()).toBe(0)
        await accessible()
        await anyway.click()
        await compared()
        expect(await answer.locator('.stamp.big').textContent()).toBe('Nothing to prove')
        expect(await answer.textContent()).toContain('No fault was active in the earlier run')
        expect(await page.locator('.fault-grade').first().textContent()).toBe('new')
        await page.getByRole('button', { name: 'Swap before and after' }).first().click()
        await expect.poll(() => answer.locator('.stamp.big').textContent(), { timeout: 20_000 }).toMatch(/^Proved/)
        await give('after', 'other')
        await expect.poll(() => answer.textContent(), { timeout: 20_000 }).toContain('Two vehicles')
        expect(await answer.locator('.stamp.big').textContent()).toBe('Not tested')
        await accessible()
      })

      it('is reached from a run and from the list of runs', async () => {
        await page.goto(`${site.address}#/runs`)
        for (const log of ['before', 'after'] as const) {
          await page.getByRole('link', { name: 'Runs', exact: true }).click()
          await page.setInputFiles('.runs input[type=file]', logs[log])
          await page.locator('.reading:empty').waitFor({ state: 'attached', timeout: 15_000 })
        }
        await page.getByRole('link', { name: 'Compare with…' }).click()
        await page.getByText('Choose the other run.').waitFor()
        await expect.poll(() => chosen('before').inputValue()).toMatch(/^mended\.log, 21 Mar 2025/)
        await page.getByRole('link', { name: 'Runs', exact: true }).click()
        await page.getByRole('checkbox', { name: 'Choose mended.log to be compared' }).check()
        await page.getByText('One run is chosen').waitFor()
        await page.getByRole('checkbox', { name: 'Choose unplugged.log.gz to be compared' }).check()
        await accessible()
        await page.getByRole('button', { name: 'Compare these two' }).click()
        await compared()
        // What was recorded earlier is the run before, whatever was opened first.
        await expect.poll(() => chosen('before').inputValue()).toMatch(/^unplugged\.log\.gz, 14 Mar 2025/)
        await expect.poll(() => chosen('after').inputValue()).toMatch(/^mended\.log, 21 Mar 2025/)
      })
    })

    it('takes two files dropped at once, and no theme has a line too light to read', async () => {
      context = await browser.newContext({ ...SIZES.laptop, serviceWorkers: 'block' })
      page = await context.newPage()
      await page.goto(`${site.address}#/compare`)
      await page.evaluate(
        ([one, two]) => {
          const data = new DataTransfer()
          data.items.add(new File([two ?? ''], 'later.log', { lastModified: 2_000 }))
          data.items.add(new File([one ?? ''], 'earlier.log', { lastModified: 1_000 }))
          dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }))
        },
        [made('missing-air-mass-signal', 1).toString(), logs.after.buffer.toString()],
      )
      await compared()
      await expect.poll(() => chosen('before').inputValue()).toMatch(/^earlier\.log/)
      await page.getByText('Why, and in numbers').click()
      for (const theme of ['Night', 'Sun', 'Day']) {
        await page.getByRole('button', { name: theme, exact: true }).click()
        expect(await accessibilityProblems(page), theme).toEqual([])
      }
      await context.close()
    })

    /** Without identifications and claims nobody can say which vehicle it is. */
    const nameless = (log: Buffer): Buffer =>
      Buffer.from(
        log
          .toString()
          .split('\n')
          .filter((line) => !/ 1[0-9A-F](?:EE|EB|EC)[0-9A-F]{4}#/.test(line))
          .join('\n'),
      )
    /** The engine controller lists nothing any more, whatever is wrong. */
    const hushed = (log: Buffer): Buffer =>
      Buffer.from(log.toString().replaceAll(/( 18FECA00#)[0-9A-F]+/g, '$100FF00000000FFFF'))
    const unplugged = () => later(made('missing-air-mass-signal', 22), 10 * 86_400)

    it.each<[string, () => Buffer, RegExp]>([
      ['Came back', unplugged, /^It is there in the later run too: /],
      ['Not proved', () => hushed(unplugged()), /^The air-mass|^The raw|still/i],
      ['Supported', () => nameless(logs.after.buffer), /Not seen in /],
    ])('grades a repair: %s', async (grade, after, statement) => {
      context = await browser.newContext({ ...SIZES.laptop, serviceWorkers: 'block' })
      page = await context.newPage()
      await page.goto(`${site.address}#/compare`)
      await give('before', 'before')
      await page.setInputFiles('.side-after input[type=file]', uploadOf('after.log', after()))
      await compared()
      const answer = page.getByRole('region', { name: 'Did the fix work?' })
      expect(await answer.locator('.stamp.big').textContent()).toBe(grade)
      expect(await answer.locator('.verdict-words').textContent()).toMatch(new RegExp(`^${grade}: SPN 132 FMI 4, `))
      expect(await answer.locator('.statement').textContent()).toMatch(statement)
      expect(await page.locator('.fault-grade').first().textContent()).toContain(grade)
      expect(await accessibilityProblems(page)).toEqual([])
      await context.close()
    })

    it('lists what has to be driven again where a repair was not tested', async () => {
      context = await browser.newContext({ ...SIZES.laptop, serviceWorkers: 'block' })
      page = await context.newPage()
      await page.goto(
        `${site.address}#/compare?before=sample:pedal-wiper-before.log.gz&after=sample:pedal-wiper-after.log.gz`,
      )
      await compared()
      const answer = page.getByRole('region', { name: 'Did the fix work?' })
      expect(await answer.locator('.stamp.big').textContent()).toBe('Not tested')
      expect(await answer.locator('.statement > p').allTextContents()).toEqual([
        expect.stringMatching(/^Not seen in .* remain possible\.$/),
        'Drive again, as in the run before:',
      ])
      expect(await answer.locator('.bullets li').count()).toBeGreaterThan(2)
      expect(await answer.locator('.bullets li').first().textContent()).toMatch(/^running at [\d–]+ rpm, load [\d–]+ %/)
      await context.close()
    })

    it('asks a person to vouch where the bus cannot say which vehicle it was', async () => {
      context = await browser.newContext({ ...SIZES.laptop, serviceWorkers: 'block' })
      page = await context.newPage()
      await page.goto(`${site.address}#/compare`)
      await give('before', 'before')
      await page.setInputFiles('.side-after input[type=file]', uploadOf('bare.log', nameless(logs.after.buffer)))
      await compared()
      const answer = page.getByRole('region', { name: 'Did the fix work?' })
      expect(await answer.textContent()).toContain('Cannot be known')
      await answer.getByRole('checkbox', { name: 'I vouch' }).check()
      await expect.poll(() => answer.textContent()).toContain('Somebody vouches for it')
      await expect.poll(() => address().get('vouched')).toBe('1')
      await context.close()
    })
  })

  describe('from the server', () => {
    let folder: string
    let server: RunningServer

    beforeAll(async () => {
      folder = mkdtempSync(join(tmpdir(), 'firstcrank-compare-'))
      const outside = (['before', 'after'] as const).map((log) => {
        const { name, buffer } = logs[log]
        writeFileSync(join(folder, name), buffer)
        return join(folder, name)
      })
      server = await startServer({ library: join(folder, 'library'), outside, port: 0, viewer: VIEWER_DIST })
      await server.scan()
    }, 60_000)

    afterAll(async () => {
      await server?.stop()
      rmSync(folder, { recursive: true, force: true })
    })

    it('compares two runs of the library, chosen from the list', async () => {
      const page = await browser.newPage({ viewport: { width: 1280, height: 800 } })
      const complaints: string[] = []
      page.on('pageerror', (error) => complaints.push(`${error}`))
      page.on('console', (message) => {
        if (message.type() === 'error') complaints.push(message.text())
      })
      const asked: string[] = []
      page.on('request', (request) => asked.push(new URL(request.url()).pathname))
      await page.goto(`${server.url}/#/runs`)
      const rows = page.locator('.run-table tbody tr')
      await expect.poll(() => rows.count(), { timeout: 15_000 }).toBe(2)
      await expect.poll(() => page.locator('.run-table').textContent(), { timeout: 15_000 }).not.toContain('being read')
      for (const name of ['unplugged', 'mended']) {
        await page.getByRole('checkbox', { name: new RegExp(`^Choose .*${name}.* to be compared`) }).check()
      }
      await page.getByRole('button', { name: 'Compare these two' }).click()
      await page.getByRole('heading', { name: 'What else changed' }).waitFor({ timeout: 20_000 })
      expect(asked).toContain('/api/compare')
      const before = page.getByRole('combobox', { name: 'Run before the repair' })
      await expect.poll(() => before.inputValue()).toMatch(/unplugged|mended/)
      if (!(await before.inputValue()).includes('unplugged')) {
        await page.getByRole('button', { name: 'Swap before and after' }).first().click()
      }
      const answer = page.getByRole('region', { name: 'Did the fix work?' })
      await expect
        .poll(() => answer.locator('.stamp.big').textContent(), { timeout: 20_000 })
        .toBe('Proved by direct evidence')
      await expect.poll(() => page.locator('.plot canvas').count()).toBeGreaterThanOrEqual(4)
      expect(await accessibilityProblems(page)).toEqual([])
      await page.locator('.vital-table tbody a').first().click()
      await page.locator('.form-block').waitFor()
      expect(page.url()).toMatch(/\/run\/run:[0-9a-f]{32}\/sheet\?t=/)
      expect(complaints).toEqual([])
      await page.close()
    })
  })
})
