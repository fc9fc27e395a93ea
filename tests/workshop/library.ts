/** The library as the closed loops see it: texts in, what it says out. */
import { analyse } from '../../src/pipeline/analyse.js';
import { marks } from '../../src/pipeline/marks.js';
import type { SourceFile } from '../../src/pipeline/source.js';
import type { AnalyseAll } from './instruments-loop.js';
import type { MarksProgram } from './marks-loop.js';

function file(name: string, text: string): SourceFile {
  return { name, content: new TextEncoder().encode(text) };
}

function files(name: string, text: string | null): readonly SourceFile[] {
  return text === null ? [] : [file(name, text)];
}

export const marksOfLibrary: MarksProgram = {
  async marks(machineToml, marksCsv, result) {
    const told = await marks(
      file('machine.toml', machineToml),
      files('marks.csv', marksCsv),
      result ? { result: { name: 'result.json', result } } : {},
    );
    const errors = told.notices.filter(({ severity }) => severity === 'error');
    return { report: told.report, errors: errors.map(({ code }) => code) };
  },
  async boards(machineToml, csv) {
    const { result } = await analyse(file('machine.toml', machineToml), files('boards.csv', csv), {
      date: new Date(0),
    });
    return result;
  },
};

export const analyseOfLibrary: AnalyseAll = async (texts) => {
  const { result, notices } = await analyse(
    file('machine.toml', texts.machine),
    files('boards.csv', texts.boards),
    {
      date: new Date(0),
      gauge: files('gauge.csv', texts.gauge),
      carry: files('carry.csv', texts.carry),
      marks: files('marks.csv', texts.marks),
    },
  );
  return { result, codes: notices.map(({ code }) => code) };
};
