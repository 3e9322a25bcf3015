/** Diagnostic reports in the viewer: freeze frames beside their fault, and what else nodes say of themselves. */
import { simulateSample } from '@firstcrank/simulator'
import type { BrowserContext, Page } from 'playwright-core'
import { afterEach, describe, expect, it } from 'vitest'
import { accessibilityProblems, CHROMIUM, SIZES, useViewer } from '../support/browser.js'

/** The simulator's pedal that wears out (SPN 91 FMI 2): readiness is all that its engine says unasked. */
const DRIVE = [...simulateSample('pedal-wiper-before.log.gz').chunks].join('')
/**
 * What a tool's question would have brought, behind it. Made up, no two fields alike; layouts from memory, as the
 * decoder has them: a freeze frame of that fault, and calibrations of a node that nobody knows.
 */
const ANSWERS: readonly string[] = [
  '1CECFF00#200D0002FFCDFE00',
  '1CEBFF00#010C5B0002030432',
  '1CEBFF00#0280254B7D803CFF',
  '1CECFFE7#20140003FF00D300',
  '1CEBFFE7#0178563402524553',
  '1CEBFFE7#024355452D332E30',
  '1CEBFFE7#032D43414C2D31FF',
]

function withAnswers(): string {
  const [, seconds = '0'] =
    DRIVE.trimEnd()
      .split('\n')
      .at(-1)
      ?.match(/^\((\d+)/) ?? []
  const lines = ANSWERS.map(
    (frame, at) => `(${Number(seconds) + 1}.${String(at * 50_000).padStart(6, '0')}) can0 ${frame}\n`,
  )
  return DRIVE + lines.join('')
}

describe.runIf(CHROMIUM !== undefined)('diagnostic reports', () => {
  const viewer = useViewer()
  let context: BrowserContext
  let page: Page

  afterEach(async () => {
    await context?.close()
  })

  const open = async (log: string, size: keyof typeof SIZES): Promise<void> => {
    context = await viewer.browser.newContext({ ...SIZES[size], serviceWorkers: 'block' })
    page = await context.newPage()
    page.setDefaultTimeout(15_000)
    await page.goto(viewer.site.address)
    await page.setInputFiles('input[type=file]', { name: 'a.log', mimeType: 'text/plain', buffer: Buffer.from(log) })
    await page.locator('.reading:empty').waitFor({ state: 'attached' })
  }
  const openPart = async (): Promise<void> => {
    await page.getByRole('link', { name: 'Bus', exact: true }).click()
    await page.getByRole('tab', { name: 'Diagnostics' }).click()
    await page.getByRole('tabpanel', { name: 'Diagnostics' }).waitFor()
  }
  const panel = () => page.getByRole('tabpanel', { name: 'Diagnostics' })
  const fits = () => page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)

  it.each(['laptop', 'phone'] as const)('stand beside their fault and by node, on a %s', async (size) => {
    await open(withAnswers(), size)
    await page.locator('.fault-list button', { hasText: '91/2' }).click()
    const pane = page.locator('article.fault')
    await pane.getByRole('heading', { name: 'What the controller noted when the fault came' }).waitFor()
    const noted = pane.locator('.said')
    const saidOf = (label: string) => noted.locator('> div', { hasText: label }).locator('dd').textContent()
    expect(await noted.count()).toBe(1)
    expect(await saidOf('Engine speed')).toBe('1,200.0 rpm')
    expect(await saidOf('Engine coolant temperature')).toBe('85 °C')
    expect(await saidOf('Engine torque mode')).toBe('04')
    if (size === 'laptop') {
      await page.getByRole('button', { name: 'US', exact: true }).click()
      await expect.poll(() => saidOf('Engine coolant temperature')).toBe('185 °F')
      await page.getByRole('button', { name: 'Metric', exact: true }).click()
    }
    expect(await fits()).toBe(true)
    expect(await accessibilityProblems(page)).toEqual([])

    await pane.getByRole('button', { name: 'All diagnostic reports of this recording' }).click()
    // The page that shows them has to be loaded first.
    await expect
      .poll(() => panel().locator('h2').allTextContents())
      .toEqual([expect.stringMatching(/^Engine 1 address 0/), expect.stringMatching(/address 231/)])
    const [engine, other] = [panel().locator('.reports').first(), panel().locator('.reports').nth(1)]
    expect(await engine.locator('h3').allTextContents()).toEqual([
      'DM4 · Freeze frame parameters',
      'DM5 · Diagnostic readiness 1',
    ])
    expect(await engine.locator('dd', { hasText: 'not intended to meet OBD II' }).count()).toBe(1)
    expect(await other.textContent()).toMatch(/DM19 .*Calibration 1 SPN 1635RESCUE-3.0-CAL-1.*SPN 163402345678/)
    expect(await fits()).toBe(true)
    for (const theme of size === 'laptop' ? ['Night', 'Sun', 'Day'] : ['Day']) {
      await page.getByRole('button', { name: theme, exact: true }).click()
      expect(await accessibilityProblems(page), theme).toEqual([])
    }

    await engine.getByRole('link', { name: 'SPN 91 · FMI 2' }).click()
    await pane.waitFor()
    expect(await pane.locator('h2').textContent()).toBe('Accelerator pedal position 1')
  })

  it('lead to their messages, and keep apart what was said earlier', async () => {
    const again = '(1.000000) can0 18FECE00#0203140703000000\n(2.000000) can0 18FECE00#0103140703010001\n'
    await open(again, 'laptop')
    await openPart()
    const first = panel().locator('.said').first()
    expect(await first.locator('> div', { hasText: 'Active trouble codes' }).first().locator('dd').textContent()).toBe(
      '1',
    )
    await panel().getByText('1 earlier content').click()
    expect(await panel().locator('details .said dd').first().textContent()).toBe('2')
    await panel().getByRole('button', { name: 'See the messages of DM5' }).click()
    await expect.poll(() => page.locator('.message-scroll .message-row').count()).toBe(2)
  })

  it('that nobody sent are said to be none, and why', async () => {
    await open('(1.000000) can0 0CF00400#F07D7D0000000000\n(2.000000) can0 0CF00400#F07D7D0000000000\n', 'phone')
    await openPart()
    const words = await panel().textContent()
    expect(words).toMatch(/No node sent a freeze frame.*only when a diagnostic tool asks.*This program never asks/)
    expect(await accessibilityProblems(page)).toEqual([])
  })
})
