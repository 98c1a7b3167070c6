"""The heat-staked tweeter cup: plan, shape and paper."""
