import { z } from 'zod';

// A command reads its config once: code that is made for each schema would be run once.
z.config({ jitless: true });
