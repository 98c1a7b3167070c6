"""From YAML files to frozen, validated `Job` values; the only stage that reads files."""
