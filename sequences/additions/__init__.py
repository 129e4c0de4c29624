"""What a plant adds to the sequences that come along, from small files of its own: read, checked and applied before a
plan is resolved, so that proof, pictures and pages take an added step as any other."""
