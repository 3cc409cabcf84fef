"""G-code: written under the machine's declared words, and proven by an independent reader before it is kept."""
