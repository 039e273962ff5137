// Opens reports in a headless Chromium: no error, no request, on paper of both sizes, on a phone, and for those who
// cannot see the page. Arguments: a folder for what is printed, then the pages.
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';

const require = createRequire(path.join(process.cwd(), 'package.json'));
const { chromium } = require('playwright-core');
const axe = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const [printed, ...pages] = process.argv.slice(2);
const wrong = [];

const profile = fs.mkdtempSync(path.join(os.tmpdir(), 'wattle-browser-'));
const browser = await chromium.launchPersistentContext(profile, {
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  headless: true,
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
    '--disable-component-update', '--disable-sync'],
});

for (const file of pages) {
  const name = path.basename(file, '.html');
  const say = (words) => wrong.push(`${name}: ${words}`);
  const page = await browser.newPage();
  const own = pathToFileURL(path.resolve(file)).href;
  page.on('console', (message) => say(`the console says: ${message.text()}`));
  page.on('pageerror', (error) => say(`an error: ${error.message}`));
  page.on('request', (request) => request.url() === own || say(`it asks for ${request.url()}`));
  await page.goto(own);

  for (const [width, scheme] of [[390, 'light'], [390, 'dark'], [1100, 'light'], [1100, 'dark']]) {
    await page.setViewportSize({ width, height: 844 });
    await page.emulateMedia({ colorScheme: scheme });
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    if (wide > width) say(`${wide} pixels wide on a screen of ${width}`);
    await page.evaluate(axe);
    const found = await page.evaluate(() => axe.run());
    for (const violation of found.violations.filter(({ impact }) => ['serious', 'critical'].includes(impact))) {
      const at = violation.nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(' | ');
      say(`${scheme} at ${width}: ${violation.id}: ${violation.help}: ${at}`);
    }
    if (found.passes.length < 10) say('the accessibility check found almost nothing to check');
  }

  // Black on white on paper, whatever the screen is.
  await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
  const [ink, paper] = await page.evaluate(() =>
    [getComputedStyle(document.body).color, getComputedStyle(document.documentElement).backgroundColor]);
  if (ink !== 'rgb(0, 0, 0)' || paper !== 'rgb(255, 255, 255)') say(`printed ${ink} on ${paper}`);
  // What is wider than the paper is cut off there: 210 mm less the margins of 15 mm.
  const paperWidth = Math.round((210 - 30) / 25.4 * 96);
  await page.setViewportSize({ width: paperWidth, height: 900 });
  const over = await page.evaluate((width) => [...document.querySelectorAll('main *')]
    .filter((one) => one.getBoundingClientRect().right > width + 1 && !one.closest('.sr'))
    .map((one) => one.outerHTML.slice(0, 120)), paperWidth);
  if (over.length) say(`wider than the paper: ${over[0]}`);
  await page.emulateMedia({ media: null, colorScheme: null });
  for (const format of ['A4', 'Letter']) {
    const target = path.join(printed, `${name}-${format}.pdf`);
    await page.pdf({ path: target, format });
    if (fs.statSync(target).size < 20000) say(`${format} came out empty`);
  }
  await page.close();
}

await browser.close();
fs.rmSync(profile, { recursive: true, force: true });
wrong.forEach((words) => console.error(words));
console.log(`${pages.length} pages, ${wrong.length} things wrong`);
process.exit(wrong.length || !pages.length ? 1 : 0);
