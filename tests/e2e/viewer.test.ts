/** The viewer as files on a plain static server: the users' tasks, at the size of a laptop and of a phone. */
import { existsSync, readFileSync } from 'node:fs'
import { gzipSync } from 'node:zlib'
import { simulate, simulateSample } from '@firstcrank/simulator'
import type { BrowserContext, Page } from 'playwright-core'
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { accessibilityProblems, CHROMIUM, SIZES, useViewer, VIEWER_DIST } from '../support/browser.js'

const sampleText = (file: string): Buffer => Buffer.from([...simulateSample(file).chunks].join(''))

let logs: Record<'short' | 'oil' | 'ground' | 'text', { name: string; mimeType: string; buffer: Buffer }>
let context: BrowserContext
let page: Page
/** What the page said that it should not have, and where it went. */
let complaints: string[]
let addresses: Set<string>

if (CHROMIUM === undefined) console.warn('Tests in the browser do not run: no Chromium was found on this system.')

describe.runIf(CHROMIUM !== undefined)('the viewer, as files', () => {
  const viewer = useViewer()
  beforeAll(async () => {
    expect(existsSync(`${VIEWER_DIST}/index.html`), 'the viewer has been built (npm run build)').toBe(true)
    const log = (name: string, buffer: Buffer) => ({ name, mimeType: 'application/octet-stream', buffer })
    logs = {
      short: log('bends.log.gz', gzipSync(sampleText('five-volt-short.log.gz'))),
      oil: log('first-start.log', sampleText('blocked-oil-hose.log')),
      ground: log('ground.log', Buffer.from([...simulate('poor-ground-in-crank', { seed: 7 }).chunks].join(''))),
      text: log('letter.txt', Buffer.from('Dear reader,\nthis is no recording.\n')),
    }
  }, 60_000)

  describe.each(Object.entries(SIZES))('on a %s', (size, options) => {
    beforeEach(async () => {
      context = await viewer.browser.newContext({ ...options, acceptDownloads: true, serviceWorkers: 'block' })
      context.setDefaultTimeout(8_000)
      page = await context.newPage()
      complaints = []
      addresses = new Set()
      page.on('pageerror', (error) => complaints.push(`${error}`))
      page.on('console', (message) => {
        // Whether there is a server is asked for, and here there is none.
        if (message.type() === 'error' && !message.location().url.endsWith('/api/server'))
          complaints.push(message.text())
      })
      page.on('request', (request) => addresses.add(new URL(request.url()).origin))
      await page.goto(viewer.site.address)
    })

    afterEach(async () => {
      expect(complaints).toEqual([])
      expect(
        [...addresses].filter((origin) => !['null', new URL(viewer.site.address).origin].includes(origin)),
      ).toEqual([])
      await context.close()
    })

    const open = async (log: keyof typeof logs): Promise<void> => {
      await page.setInputFiles('input[type=file]', logs[log])
      await page.locator('.reading:empty').waitFor({ state: 'attached' })
    }
    const accessible = async (): Promise<void> => expect(await accessibilityProblems(page)).toEqual([])

    it('says whether the first start was good and what to do next', async () => {
      await accessible()
      await open('oil')
      const words = page.getByRole('region', { name: 'What was found' })
      const verdict = await words.locator('.verdict').textContent()
      expect(verdict).toMatch(/Stop\s*Stop\. Do not run the engine: probably no oil pressure/)
      expect(await words.locator('.steps li').first().textContent()).toContain('Stop the engine')
      expect(
        await words.getByText('No oil pressure ten seconds after firing: stop the engine.').count(),
      ).toBeGreaterThan(0)
      await page.getByRole('button', { name: 'First start' }).click()
      await expect.poll(() => page.locator('.plot canvas').count()).toBeGreaterThanOrEqual(4)
      await expect.poll(() => page.locator('.phase-cranking').count()).toBe(1)
      await accessible()
    })

    it('leads from a finding to its evidence and back, and a link opens the same view', async () => {
      await open('short')
      const finding = page.locator('#finding-1')
      expect(await finding.locator('h3').textContent()).toBe('A 5 V sensor supply is shorted to ground')
      await finding.getByRole('button', { name: /^See it 0:41: Sensor supply 1 reads/ }).click()
      const plot = page.getByRole('region', { name: /^Sensor supply voltage 1/ })
      await plot.waitFor()
      await expect.poll(() => plot.locator('canvas').isVisible()).toBe(true)
      await expect.poll(() => plot.locator('.legend-value').textContent()).toBe('0.50')
      if (size === 'phone') {
        await expect
          .poll(() => plot.evaluate((element) => element.getBoundingClientRect().top < innerHeight))
          .toBe(true)
        await page.getByRole('button', { name: 'Back to finding 1' }).click()
        await expect
          .poll(() => finding.evaluate((element) => Math.abs(element.getBoundingClientRect().top) < 200))
          .toBe(true)
      }
      const address = page.url()
      expect(address).toContain('open=finding:1')
      await page.reload()
      await plot.waitFor()
      expect(page.url()).toBe(address)
      await expect.poll(() => page.locator('.window-words').textContent()).toMatch(/^0:38\.\d+ to 0:42\.\d+/)
    })

    it('explains one fault: meaning, causes in order, checks, every episode', async () => {
      await open('short')
      await page.locator('.fault-list button', { hasText: 'Accelerator pedal position 1' }).click()
      const pane = page.locator('article.fault')
      const words = await pane.textContent()
      for (const heading of ['What it means', 'What the bus shows', 'What may be behind it', 'Every episode']) {
        expect(words).toContain(heading)
      }
      expect(await pane.locator('.causes > li').first().textContent()).toContain('5 V sensor supply')
      expect(await pane.locator('.causes > li').first().locator('input[type=checkbox]').count()).toBeGreaterThan(1)
      await expect.poll(() => pane.locator('tbody tr').count()).toBe(3)
      expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true)
      // It opens at what speaks for it most, with what has to do with it around that moment.
      await expect.poll(() => page.locator('.window-words').textContent()).toMatch(/^1:52\.\d+ to 2:12\.\d+, 20 s/)
      await page.getByRole('region', { name: /^Accelerator pedal position 1/ }).waitFor()
      await page.getByRole('region', { name: /^Sensor supply voltage 1/ }).waitFor()
      await pane.getByRole('button', { name: 'Plot around the onset 0:42' }).click()
      await expect.poll(() => page.locator('.window-words').textContent()).toMatch(/^0:31\.\d+ to 0:51\.\d+, 20 s/)
      expect(await pane.locator('h2').textContent()).toBe('Accelerator pedal position 1')
      await pane.getByRole('button', { name: /Probably follows from 3509\/4/ }).click()
      await expect.poll(() => page.locator('article.fault h2').textContent()).toBe('Sensor supply voltage 1')
      await accessible()
    })

    it('plots the fault that is probably behind the others before any was opened, and none where there is none', async () => {
      await open('short')
      const fault = page.getByRole('button', { name: /^This fault/ })
      expect(await fault.textContent()).toBe('This fault: 3509/4')
      expect(await fault.getAttribute('aria-pressed')).toBe('false')
      await fault.click()
      await expect.poll(() => fault.getAttribute('aria-pressed')).toBe('true')
      // The fault is listed from 0:41 on.
      await expect.poll(() => page.locator('.window-words').textContent()).toMatch(/^0:30\.\d+ to 0:50\.\d+, 20 s/)
      await page.getByRole('region', { name: /^Sensor supply voltage 1/ }).waitFor()
      expect(await page.locator('article.fault h2').textContent()).toBe('Sensor supply voltage 1')
      // What was asked for is what is in view.
      expect(await fault.evaluate((button) => button.getBoundingClientRect().top)).toBeGreaterThan(0)
      await page.getByRole('button', { name: 'The whole run' }).click()
      await page.locator('.lane-name', { hasText: 'Engine oil pressure' }).click()
      await expect.poll(() => fault.textContent()).toBe('This fault: 100/4')
      await page.goto(`${viewer.site.address}#/run/sample:clean-first-start.log.gz/sheet`)
      await page.locator('.reading:empty').waitFor({ state: 'attached' })
      await page.getByText('No node listed a fault.').waitFor()
      expect(await fault.count()).toBe(0)
    })

    it('shows where a controller restarted, and says which and for how long', async () => {
      await open('ground')
      const reset = page.locator('.spine-row', { hasText: 'Resets' }).getByRole('img')
      const words = /^0:08\.\d: Engine 1 \(address 0\) silent for 0\.\d\d s, then claims its address anew; battery/
      expect(await reset.count()).toBe(1)
      expect(await reset.getAttribute('aria-label')).toMatch(words)
      await reset.hover()
      expect(await reset.getAttribute('title')).toMatch(words)
      // On the same axis as the phases: the supply breaks down while the starter turns.
      const [start, end] = await page.locator('.phase-cranking').evaluate((phase) => {
        const { left, right } = phase.getBoundingClientRect()
        return [left, right]
      })
      const at = await reset.evaluate((element) => element.getBoundingClientRect().left)
      expect(at).toBeGreaterThanOrEqual(Number(start))
      expect(at).toBeLessThanOrEqual(Number(end))
      await page.getByText('Checks of the bus').click()
      const check = page.locator('.checks details', { hasText: 'No controller restarts' })
      await check.locator('summary').click()
      await check.getByRole('button', { name: /^See it 0:0[89]: Engine 1 \(address 0\) silent for/ }).click()
      await expect.poll(() => page.locator('.window-words').textContent()).toMatch(/^0:0[4-8]\.\d+ to 0:(09|1\d)\.\d+/)
      await expect.poll(() => reset.evaluate((element) => element.getBoundingClientRect().width)).toBeGreaterThan(10)
    })

    it('is used by keys: cursor, zoom, mark, search', async () => {
      await open('oil')
      const cursor = page.getByRole('slider', { name: 'Time cursor' })
      await cursor.focus()
      for (const key of ['+', '+', 'ArrowRight', 'Shift+ArrowRight', 'm', 'ArrowRight']) await page.keyboard.press(key)
      await expect.poll(() => cursor.getAttribute('aria-valuetext')).toMatch(/^0:1\d\.\d+; Engine speed [\d.]+ rpm; /)
      await expect
        .poll(() => page.locator('.window-words').textContent())
        .toMatch(/Mark 0:1\d\.\d+, \d+ ms from mark to cursor$/)
      // As fast as hands can: no letter is lost.
      const search = page.getByRole('combobox', { name: 'Add a signal' })
      await search.pressSequentially('coolant temperature')
      await expect.poll(() => search.inputValue()).toBe('coolant temperature')
      await search.fill('110')
      await page.locator('.search-list [data-highlighted]', { hasText: 'Engine coolant temperature' }).waitFor()
      await page.keyboard.press('Enter')
      await page.getByRole('region', { name: 'Engine coolant temperature', exact: true }).waitFor()
      await expect.poll(() => page.url()).toContain('plots=')
      const plot = page.getByRole('region', { name: 'Engine coolant temperature', exact: true })
      await plot.getByText('As a table').click()
      await expect.poll(() => plot.locator('tbody tr').count()).toBe(12)
      expect(await plot.locator('tfoot').textContent()).toMatch(/Least\s*\d+/)
      await page.getByRole('button', { name: 'US', exact: true }).click()
      await expect.poll(() => plot.locator('.legend').textContent()).toContain('°F')
      await accessible()
    })

    it('keeps what a person writes: notes at moments, checks by hand, repairs', async () => {
      await open('oil')
      await page.getByRole('slider', { name: 'Time cursor' }).focus()
      await page.keyboard.press('ArrowRight')
      await page.getByRole('button', { name: 'Write a note at the cursor' }).click()
      await page.getByRole('textbox', { name: /^A note at 0:1\d\.\d/ }).fill('smoke from the left')
      await page.keyboard.press('Enter')
      await page.getByRole('button', { name: /^0:1\d: smoke from the left$/ }).waitFor()
      await accessible()
      await page.getByRole('link', { name: 'Notes', exact: true }).click()
      await page.getByRole('textbox', { name: 'What was repaired since the run before' }).fill('oil hose')
      await page.getByRole('checkbox', { name: /^Oil filled/ }).check()
      await accessible()
      await page.reload()
      await expect
        .poll(() => page.getByRole('textbox', { name: 'What was repaired since the run before' }).inputValue())
        .toBe('oil hose')
      expect(await page.getByRole('checkbox', { name: /^Oil filled/ }).isChecked()).toBe(true)
      const pinned = page.getByRole('listitem').filter({ hasText: 'smoke from the left' })
      await pinned.getByRole('link').click()
      await expect.poll(() => page.url()).toMatch(/sheet\?.*at=1\d\.\d/)
      await page.getByRole('button', { name: 'Write a note at the cursor' }).click()
      await page.getByRole('button', { name: 'Take away the note “smoke from the left”' }).click()
      await expect.poll(() => page.getByRole('button', { name: /smoke from the left/ }).count()).toBe(0)
    })

    it('says what a dash gauge gets, and why it shows a fault', async () => {
      await open('oil')
      await page.getByText('What a dash gauge gets of the engine at address 0').click()
      const row = page.locator('.gauge-table tr', { hasText: 'Oil pressure' })
      expect(await row.textContent()).toContain('the value')
      await page.locator('.fault-list button', { hasText: 'Engine oil pressure' }).click()
      await expect
        .poll(() => page.locator('article.fault').textContent())
        .toMatch(/Why the gauge shows this[\s\S]*\(DM1\), once[\s\S]*Lamps lit meanwhile[\s\S]*Red stop lamp: 0:1/)
      await accessible()
    })

    it('shows the bus down to the bits of a message', async () => {
      await open('oil')
      await page.getByRole('link', { name: 'Bus', exact: true }).click()
      await expect.poll(() => page.getByRole('tabpanel').locator('tbody tr').count()).toBe(5)
      await accessible()
      for (const part of ['Groups', 'Load', 'Events', 'File']) {
        await page.getByRole('tab', { name: part }).click()
        await page.getByRole('tabpanel', { name: part }).waitFor()
        if (size === 'laptop') await accessible()
      }
      await page.getByRole('tab', { name: 'Messages' }).click()
      await page.getByRole('combobox', { name: 'Group' }).selectOption('61444')
      const list = page.locator('.message-scroll')
      await list.focus()
      await page.keyboard.press('End')
      await expect.poll(() => page.locator('.opened h2').textContent()).toBe('61444 EEC1')
      await expect.poll(() => page.locator('.opened').textContent()).toContain('Engine speed SPN 190')
      await expect.poll(() => page.locator('.bits tbody tr').count()).toBe(8)
      // Speed lies in bytes 4 and 5: a frame around both, with the letter it has in the list of signals.
      const speed = page.locator('.signals-table tr', { hasText: 'Engine speed' })
      const letter = await speed.locator('.letter').textContent()
      const lettersOf = (byte: number) =>
        page
          .locator('.bits tbody tr')
          .nth(byte - 1)
          .locator('.bit-letter')
          .allTextContents()
      expect([await lettersOf(4), await lettersOf(5)]).toEqual([[letter], [letter]])
      expect(await lettersOf(1)).toHaveLength(2)
      expect(await page.locator('.message-scroll .message-row').count()).toBeLessThan(80)
      await accessible()
    })

    it('prints and saves the report', async () => {
      await open('oil')
      await page.getByRole('link', { name: 'Report', exact: true }).click()
      const paper = page.getByRole('region', { name: 'Report as it will be printed' })
      await expect.poll(() => paper.getByText(/Do not run the engine/).count()).toBeGreaterThan(0)
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: 'Save as HTML' }).click(),
      ])
      expect(download.suggestedFilename()).toBe('first-start.html')
      expect(readFileSync(await download.path(), 'utf8')).toMatch(/^<!doctype html>[\s\S]*Do not run the engine/i)
      await accessible()
    })

    it('says so where a file is no recording, and lists what was opened', async () => {
      await page.setInputFiles('input[type=file]', logs.text)
      await page.getByRole('heading', { level: 1, name: 'This recording cannot be shown' }).waitFor()
      await accessible()
      await page.getByRole('link', { name: 'Back to the runs' }).click()
      await open('oil')
      await page.getByRole('link', { name: 'Notes', exact: true }).click()
      const keeping = page.locator('.keeping')
      await keeping.waitFor({ state: 'attached' })
      expect(await keeping.textContent()).toBe('')
      await page.getByRole('textbox', { name: 'Vehicle' }).fill('Rescue 7')
      await expect.poll(() => keeping.textContent()).toBe('Saved.')
      await page.getByRole('link', { name: 'Runs', exact: true }).click()
      await expect
        .poll(() => page.locator('.run-table').textContent())
        .toMatch(/first-start\.log[\s\S]*Rescue 7: Stop\. Do not run the engine[\s\S]*cannot be read\s*letter\.txt/)
      await accessible()
      const rows = page.locator('.run-table tbody tr')
      const search = page.getByRole('searchbox', { name: 'Search runs' })
      await search.fill('rescue START')
      await expect.poll(() => rows.count()).toBe(1)
      await search.fill('nothing like it')
      await page.getByText('No run fits this search.').waitFor()
      await search.fill('')
      await page.getByRole('button', { name: 'Forget letter.txt' }).click()
      await expect.poll(() => rows.count()).toBe(1)
    })
  })

  it('takes a file that is dropped anywhere, and works in every theme without a line too light to read', async () => {
    context = await viewer.browser.newContext({ ...SIZES.laptop, serviceWorkers: 'block' })
    page = await context.newPage()
    await page.goto(viewer.site.address)
    const content = logs.oil.buffer.toString()
    await page.evaluate((words) => {
      const data = new DataTransfer()
      data.items.add(new File([words], 'dropped.log'))
      dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }))
    }, content)
    await page.locator('.reading:empty').waitFor({ state: 'attached' })
    expect(await page.locator('.form-block').textContent()).toContain('dropped.log')
    for (const theme of ['Night', 'Sun', 'Day']) {
      await page.getByRole('button', { name: theme, exact: true }).click()
      expect(await accessibilityProblems(page), theme).toEqual([])
    }
    await context.close()
  })

  it('opens three files dropped at once as a list, and says so of what cannot be read', async () => {
    context = await viewer.browser.newContext({ ...SIZES.laptop, serviceWorkers: 'block' })
    page = await context.newPage()
    await page.goto(viewer.site.address)
    await page.getByRole('heading', { level: 1, name: 'Runs' }).waitFor()
    await page.evaluate((words) => {
      const data = new DataTransfer()
      for (const name of ['one.log', 'two.log', 'three.log']) data.items.add(new File([words], name))
      dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }))
    }, logs.oil.buffer.toString())
    await expect.poll(() => page.locator('.run-table tbody tr').count()).toBe(3)
    // A folder comes as a file that cannot be read: only the browser's own drop makes one.
    const devtools = await context.newCDPSession(page)
    const data = { items: [], files: [VIEWER_DIST], dragOperationsMask: 1 }
    for (const type of ['dragEnter', 'dragOver', 'drop'] as const) {
      await devtools.send('Input.dispatchDragEvent', { type, x: 200, y: 300, data })
    }
    const refused = page.getByRole('alert').filter({ hasText: 'dist' })
    await expect.poll(() => refused.textContent()).toContain('A folder cannot be opened: drop the log files in it.')
    expect(await accessibilityProblems(page)).toEqual([])
    await refused.getByRole('button', { name: 'Close' }).click()
    await expect.poll(() => page.locator('.refused').count()).toBe(0)
    await context.close()
  })

  it('loads less than 150 kB of script at first, compressed', async () => {
    context = await viewer.browser.newContext({ ...SIZES.laptop, serviceWorkers: 'block' })
    page = await context.newPage()
    const scripts: Promise<Buffer>[] = []
    page.on('response', (response) => {
      if (response.url().endsWith('.js') && response.request().resourceType() === 'script')
        scripts.push(response.body())
    })
    await page.goto(viewer.site.address, { waitUntil: 'networkidle' })
    const sizes = (await Promise.all(scripts)).map((body) => gzipSync(body).length)
    expect(sizes.length).toBeGreaterThan(0)
    expect(sizes.reduce((sum, bytes) => sum + bytes, 0)).toBeLessThan(150_000)
    await context.close()
  })
})
