"""The Evidence screen: what past inspections say of intervals."""
