declare module 'csv-spectrum' {
  interface Sample {
    name: string;
    csv: Buffer;
    json: Buffer;
  }
  export default function csvSpectrum(done: (error: Error | null, samples: Sample[]) => void): void;
}
